/**
 * Exponential and its kin.
 *
 * Method (Muller, Elementary Functions, Birkhauser: additive reduction with the constant in two parts): x = k ln 2 + r
 * with |r| <= ln 2 / 2, exp(r) = 1 + r + r^2 P(r). P is a minimax polynomial of degree 9, computed for this file by
 * Remez exchange in 40 digits; its contribution to the error is 3.7e-18, a thirtieth of an ulp.
 */
import { LEAST_EXPONENT, LN2_HIGH, LN2_LOW, POWERS_OF_TWO, TWO_54 } from './elementary-bits.ts';

/** Adding and subtracting 1.5 * 2^52 rounds a double of moderate size to the nearest integer. */
const ROUNDER = 6755399441055744;

const P0 = 0.5000000000000011;
const P1 = 0.16666666666666413;
const P2 = 0.04166666666653005;
const P3 = 0.00833333333349459;
const P4 = 0.001388888894366259;
const P5 = 0.00019841269506379037;
const P6 = 2.4801493061611558e-5;
const P7 = 2.755758648058641e-6;
const P8 = 2.763026283675897e-7;
const P9 = 2.500005111621267e-8;

/** Beyond this the result is infinite: ln of (2^1024 - 2^970), rounded down. */
const OVERFLOW = 709.782712893384;
/** Below this the result is subnormal: ln 2^-1022. */
const LEAST_NORMAL = -708.3964185322641;
/** Below this the result rounds to zero: ln 2^-1075. */
const UNDERFLOW = -745.1332191019412;

/** (exp(r) - 1 - r)/r^2 for |r| <= ln 2 / 2, in Estrin's order: short chains of dependent operations. */
function tail(r: number, r2: number): number {
  const r4 = r2 * r2;
  return P0 + r * P1 + r2 * (P2 + r * P3) + r4 * (P4 + r * P5 + r2 * (P6 + r * P7) + r4 * (P8 + r * P9));
}

/**
 * e to the power x.
 * @returns within 1 ulp (measured over the whole range: see the test); exp(0) is 1 exactly, overflow gives Infinity,
 *   underflow is gradual, NaN gives NaN
 */
export function exp(x: number): number {
  // Written so that NaN takes the careful path too.
  if (!(x >= LEAST_NORMAL && x <= 709)) return expAtEdge(x, 0);
  const k = x * Math.LOG2E + ROUNDER - ROUNDER;
  const high = x - k * LN2_HIGH;
  const low = k * LN2_LOW;
  const r = high - low;
  const r2 = r * r;
  return (1 + (high - (low - r2 * tail(r, r2)))) * POWERS_OF_TWO[k - LEAST_EXPONENT];
}

/**
 * exp(x + correction) for a correction that is small beside 1, so that an exponent known to more than double
 * precision keeps what it has.
 */
export function expCorrected(x: number, correction: number): number {
  if (!(x >= LEAST_NORMAL + 1 && x <= 709)) return expAtEdge(x, correction);
  const k = x * Math.LOG2E + ROUNDER - ROUNDER;
  const high = x - k * LN2_HIGH;
  const low = k * LN2_LOW - correction;
  const r = high - low;
  const r2 = r * r;
  return (1 + (high - (low - r2 * tail(r, r2)))) * POWERS_OF_TWO[k - LEAST_EXPONENT];
}

/** The same where the result overflows, underflows or is not a number: the power of two is applied in two steps. */
function expAtEdge(x: number, correction: number): number {
  if (x > OVERFLOW + 1) return Infinity;
  if (x < UNDERFLOW - 1) return 0;
  if (Number.isNaN(x)) return x;
  const k = x * Math.LOG2E + ROUNDER - ROUNDER;
  const high = x - k * LN2_HIGH;
  const low = k * LN2_LOW - correction;
  const r = high - low;
  const r2 = r * r;
  const mantissa = 1 + (high - (low - r2 * tail(r, r2)));
  if (k > 1024) return Infinity;
  if (k > 0) return mantissa * POWERS_OF_TWO[k - 1 - LEAST_EXPONENT] * 2;
  return (mantissa * POWERS_OF_TWO[k + 54 - LEAST_EXPONENT]) / TWO_54;
}

/**
 * e^x - 1 without cancellation near 0.
 * @returns within 2 ulp; expm1(-0) is -0
 */
export function expm1(x: number): number {
  if (x === 0) return x;
  if (!(x >= -38 && x <= 709)) return x < -38 ? -1 : exp(x) - 1;
  const k = x * Math.LOG2E + ROUNDER - ROUNDER;
  const high = x - k * LN2_HIGH;
  const low = k * LN2_LOW;
  const r = high - low;
  const r2 = r * r;
  const t = high - (low - r2 * tail(r, r2));
  if (k === 0) return t;
  const power = POWERS_OF_TWO[k - LEAST_EXPONENT];
  if (k > 54) return (1 + t) * power - 1;
  return power - 1 + t * power;
}
