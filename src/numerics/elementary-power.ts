/**
 * Powers and the common logarithm: a logarithm in two doubles, and an exponential that takes both.
 *
 * Method (Tang, ACM Trans. Mathematical Software 16, 1990, table-driven logarithm, from memory): x = 2^k m,
 * z = m c - 1 exactly in two parts with c from a table, ln x = k ln 2 - ln c + z - z^2/2 + z^3 L(z). The square is
 * kept in two parts (Dekker, Numerische Mathematik 18, 1971), so the result carries about 68 bits.
 */
import { HIGH_WORD, LEAST_EXPONENT, LN2_HIGH, LN2_LOW, NUMBER_VIEW, POWERS_OF_TWO, TWO_54, WORD_VIEW } from './elementary-bits.ts';
import { expCorrected } from './elementary-exponential.ts';
import { LOGARITHM_TABLE } from './elementary-tables.ts';

/** Upper word at which interval 0 of the table begins. */
const TABLE_WORD = 0x3fe6a000;

const L0 = 0.3333333333333333;
const L1 = -0.25000000000000605;
const L2 = 0.20000000000001777;
const L3 = -0.1666666661602235;
const L4 = 0.14285714203914385;
const L5 = -0.125012764730037;
const L6 = 0.11112579932861094;

/** 1.5 * 2^32: adding and subtracting it rounds to a multiple of 2^-20. */
const TRUNCATOR = 6442450944;
/** 2^27 + 1: Veltkamp's constant, splits a double into two halves of 26 bits. */
const SPLITTER = 134217729;

/** The result of the last `logInTwo`, leading part first (a typed array, since module variables would be boxed). */
const logarithm = new Float64Array(2);

/** ln x for a finite x > 0, into `logarithm` in two parts, to about 2^-68 relative. */
function logInTwo(x: number): void {
  NUMBER_VIEW[0] = x;
  let word = WORD_VIEW[HIGH_WORD];
  let bias = 0;
  if (word < 0x00100000) {
    x *= TWO_54;
    NUMBER_VIEW[0] = x;
    word = WORD_VIEW[HIGH_WORD];
    bias = -54;
  }
  const offset = word - TABLE_WORD;
  const exponent = offset >> 20;
  const k = exponent + bias;
  const entry = 3 * ((offset >> 14) & 63);
  const m = x * POWERS_OF_TWO[-exponent - LEAST_EXPONENT];
  const upper = m + TRUNCATOR - TRUNCATOR;
  const reciprocal = LOGARITHM_TABLE[entry];
  // Both products are exact (21 and 32 bits times 13), and so is the subtraction of 1.
  const z0 = upper * reciprocal - 1;
  const z1 = (m - upper) * reciprocal;
  const z = z0 + z1;
  const zLow = z0 - z + z1;

  // The square of z in two parts.
  const scaled = z * SPLITTER;
  const zA = scaled - (scaled - z);
  const zB = z - zA;
  const square = z * z;
  const squareLow = zA * zA - square + 2 * zA * zB + zB * zB;

  const coarse = k * LN2_HIGH + LOGARITHM_TABLE[entry + 1];
  const sum = coarse + z;
  const part = sum - coarse;
  const sumLow = coarse - (sum - part) + (z - part);
  const total = sum - 0.5 * square;
  const totalLow = sum - total - 0.5 * square;
  const z2 = square;
  const series = square * z * (L0 + z * L1 + z2 * (L2 + z * L3 + z2 * (L4 + z * L5 + z2 * L6)));
  const low = totalLow + (sumLow + (zLow - z * zLow + (k * LN2_LOW + LOGARITHM_TABLE[entry + 2] + (series - 0.5 * squareLow))));
  const high = total + low;
  logarithm[0] = high;
  logarithm[1] = total - high + low;
}

/** The rounding error of a b, by Dekker's product; for |a|, |b| below 2^990. */
function productError(a: number, b: number, product: number): number {
  const sa = a * SPLITTER;
  const aHigh = sa - (sa - a);
  const aLow = a - aHigh;
  const sb = b * SPLITTER;
  const bHigh = sb - (sb - b);
  const bLow = b - bHigh;
  return aHigh * bHigh - product + aHigh * bLow + aLow * bHigh + aLow * bLow;
}

/**
 * x to the power y, with the special cases of IEEE 754 `pow` (and 1^NaN = 1, unlike `Math.pow`).
 * @returns within 1 ulp; a negative x needs an integer y, else NaN
 */
export function pow(x: number, y: number): number {
  if (x > 0 && x < Infinity && Math.abs(y) < 1e300) {
    if (x === 1) return 1;
    logInTwo(x);
    const product = y * logarithm[0];
    // Far beyond the range; also keeps the splitting of large y from overflowing.
    if (product > 800) return Infinity;
    if (product < -800) return 0;
    return expCorrected(product, productError(y, logarithm[0], product) + y * logarithm[1]);
  }
  return powSpecial(x, y);
}

/** Zeros, infinities, NaN and negative bases. */
function powSpecial(x: number, y: number): number {
  if (y === 0 || x === 1) return 1;
  if (Number.isNaN(x) || Number.isNaN(y)) return NaN;
  const magnitude = Math.abs(x);
  const isOdd = Math.abs(y) < 2 ** 53 && Math.abs(y) % 2 === 1;
  if (magnitude === 0 || magnitude === Infinity || Math.abs(y) >= 1e300) {
    if (magnitude === 1) return 1;
    const grows = magnitude > 1 === y > 0;
    const limit = grows ? Infinity : 0;
    const isNegative = x < 0 || Object.is(x, -0);
    return isNegative && isOdd ? -limit : limit;
  }
  if (!Number.isInteger(y)) return NaN;
  const result = pow(magnitude, y);
  return isOdd ? -result : result;
}

/** What rounding took from Math.LOG10E = 1/ln 10. */
const LOG10E_LOW = 1.098319650216765e-17;

/**
 * Common logarithm.
 * @returns within 1 ulp, exact at powers of ten; log10(0) is -Infinity, of a negative number NaN
 */
export function log10(x: number): number {
  if (!(x > 0 && x < Infinity)) return x === 0 ? -Infinity : x === Infinity ? x : NaN;
  logInTwo(x);
  const high = logarithm[0];
  const product = high * Math.LOG10E;
  return product + (productError(high, Math.LOG10E, product) + (high * LOG10E_LOW + logarithm[1] * Math.LOG10E));
}
