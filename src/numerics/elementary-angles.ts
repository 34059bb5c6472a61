/**
 * Sine, cosine, two-argument arctangent, and the length of a vector.
 *
 * Method (Cody and Waite, Software Manual for the Elementary Functions, 1980): reduction to |r| <= pi/4 with pi/2 in
 * three parts, minimax polynomials computed for this file by Remez exchange in 40 digits (errors below 1e-17).
 */
const TWO_OVER_PI = 0.6366197723675814;
const HALF_PI_1 = 1.5707963267341256; // 33 bits
const HALF_PI_2 = 6.077100506303966e-11; // 33 bits
const HALF_PI_3 = 2.0222662487959506e-21;
const ROUNDER = 6755399441055744;
/** Up to here the products with the first two parts of pi/2 are exact. */
const LARGEST_SIMPLE = 1e6;

const S0 = -0.16666666666666632;
const S1 = 0.008333333333322413;
const S2 = -0.00019841269829807905;
const S3 = 2.7557313691946184e-6;
const S4 = -2.5050758119005925e-8;
const S5 = 1.5896795837998283e-10;

const C0 = 0.0416666666666666;
const C1 = -0.0013888888888874125;
const C2 = 2.4801587289482174e-5;
const C3 = -2.7557314352326725e-7;
const C4 = 2.0875723272082207e-9;
const C5 = -1.1359647732450995e-11;

/** sin(r + low) for |r| <= pi/4 and low below its last place. */
function sineKernel(r: number, low: number): number {
  const z = r * r;
  const cube = z * r;
  const series = S1 + z * (S2 + z * (S3 + z * (S4 + z * S5)));
  return r - (z * (0.5 * low - cube * series) - low - cube * S0);
}

/** cos(r + low), likewise. */
function cosineKernel(r: number, low: number): number {
  const z = r * r;
  const half = 0.5 * z;
  const w = 1 - half;
  const series = C0 + z * (C1 + z * (C2 + z * (C3 + z * (C4 + z * C5))));
  return w + (1 - w - half + (z * z * series - r * low));
}

/** The reduced argument of the last `reduce`, in two parts (a typed array, since module variables would be boxed). */
const reduced = new Float64Array(2);

/** Takes multiples of pi/2 from x; returns how many, modulo 4. */
function reduce(x: number): number {
  if (Math.abs(x) > LARGEST_SIMPLE) return reduceExactly(x);
  const n = x * TWO_OVER_PI + ROUNDER - ROUNDER;
  const a = x - n * HALF_PI_1;
  const b = n * HALF_PI_2;
  const first = a - b;
  const part = first - a;
  const low = a - (first - part) - (b + part) - n * HALF_PI_3;
  const high = first + low;
  reduced[0] = high;
  reduced[1] = first - high + low;
  return n & 3;
}

/** pi 2^1200 by Machin's formula, made when first needed: only arguments above a million need it. */
let piScaled: bigint | undefined;
const PI_BITS = 1200n;

function scaledPi(): bigint {
  const one = 1n << (PI_BITS + 32n);
  const inverseTangent = (n: bigint): bigint => {
    let term = one / n;
    let sum = term;
    for (let i = 3n, sign = -1n; term !== 0n; i += 2n, sign = -sign) {
      term /= n * n;
      sum += (sign * term) / i;
    }
    return sum;
  };
  return (4n * (4n * inverseTangent(5n) - inverseTangent(239n))) >> 32n;
}

/** The same as `reduce` for large arguments, in exact integers. */
function reduceExactly(x: number): number {
  piScaled ??= scaledPi();
  const magnitude = Math.abs(x);
  let exponent = 0;
  let mantissa = magnitude;
  while (mantissa >= 9007199254740992) {
    mantissa /= 2;
    exponent++;
  }
  while (!Number.isInteger(mantissa)) {
    mantissa *= 2;
    exponent--;
  }
  const shift = PI_BITS + BigInt(exponent) + 1n;
  // Everything scaled by 2^1201, so that pi/2 is `piScaled`.
  const scaled = BigInt(mantissa) << shift;
  const quotient = (2n * scaled + piScaled) / (2n * piScaled);
  const rest = scaled - quotient * piScaled;
  const high = fraction(rest);
  const low = fraction(rest - (BigInt(Math.round(high * 2 ** 160)) << (PI_BITS + 1n - 160n)));
  const n = Number(quotient & 3n);
  reduced[0] = x < 0 ? -high : high;
  reduced[1] = x < 0 ? -low : low;
  return x < 0 ? -n & 3 : n;
}

/** rest / 2^1201 as the nearest double below in magnitude, by way of its leading 160 bits after the point. */
function fraction(rest: bigint): number {
  return Number(rest / (1n << (PI_BITS + 1n - 160n))) / 2 ** 160;
}

/**
 * Sine of an angle in radians.
 * @returns within 1 ulp for every finite x; NaN for infinities
 */
export function sin(x: number): number {
  if (!(Math.abs(x) < Infinity)) return NaN;
  if (Math.abs(x) < 0.785) return Math.abs(x) < 1e-9 ? x : sineKernel(x, 0);
  const n = reduce(x);
  const value = n & 1 ? cosineKernel(reduced[0], reduced[1]) : sineKernel(reduced[0], reduced[1]);
  return n & 2 ? -value : value;
}

/**
 * Cosine of an angle in radians.
 * @returns within 1 ulp for every finite x; NaN for infinities
 */
export function cos(x: number): number {
  if (!(Math.abs(x) < Infinity)) return NaN;
  if (Math.abs(x) < 0.785) return cosineKernel(x, 0);
  const n = reduce(x);
  const value = n & 1 ? sineKernel(reduced[0], reduced[1]) : cosineKernel(reduced[0], reduced[1]);
  return (n + 1) & 2 ? -value : value;
}

const A0 = -0.33333333333330706;
const A1 = 0.1999999999835825;
const A2 = -0.14285713938243041;
const A3 = 0.11111076196053807;
const A4 = -0.09089027679400442;
const A5 = 0.07636277126362255;
const A6 = -0.05789402626969389;

const PI = Math.PI;
const PI_LOW = 1.2246467991473532e-16;
/** A number near tan(pi/8) with few bits, and its arctangent in two parts. */
const MIDDLE = 0.4140625;
const MIDDLE_ANGLE = 0.3925701350118286;
const MIDDLE_ANGLE_LOW = 1.4769733768267405e-17;

/** Arctangent of small/large for 0 <= small <= large, as `angle` + low parts summed last. */
function firstOctant(small: number, large: number): number {
  let base = 0;
  let baseLow = 0;
  let u: number;
  const t = small / large;
  if (t < 0.2) u = t;
  else if (t < 0.665) {
    u = (small - MIDDLE * large) / (large + MIDDLE * small);
    base = MIDDLE_ANGLE;
    baseLow = MIDDLE_ANGLE_LOW;
  } else {
    u = (small - large) / (small + large);
    base = PI / 4;
    baseLow = PI_LOW / 4;
  }
  const z = u * u;
  const series = u * z * (A0 + z * (A1 + z * (A2 + z * (A3 + z * (A4 + z * (A5 + z * A6))))));
  return base + (u + (series + baseLow));
}

/**
 * Angle of the point (x, y) from the positive x axis, in radians, from -pi to pi.
 * @returns within 2 ulp; signed zeros and infinities as in IEEE 754 `atan2`
 */
export function atan2(y: number, x: number): number {
  if (Number.isNaN(x) || Number.isNaN(y)) return NaN;
  let ay = Math.abs(y);
  let ax = Math.abs(x);
  if (ax === Infinity || ay === Infinity) {
    const bothInfinite = ax === ay;
    ay = bothInfinite || ay === Infinity ? 1 : 0;
    ax = bothInfinite || ax === Infinity ? 1 : 0;
  } else if (ax > 1e300 || ay > 1e300) {
    ax /= 1024;
    ay /= 1024;
  } else if (ax < 1e-290 && ay < 1e-290) {
    ax *= 2 ** 60;
    ay *= 2 ** 60;
  }
  let angle: number;
  if (ay === 0) angle = 0;
  else if (ay <= ax) angle = firstOctant(ay, ax);
  else angle = PI / 2 - (firstOctant(ax, ay) - PI_LOW / 2);
  const isLeft = x < 0 || Object.is(x, -0);
  if (isLeft) angle = PI - (angle - PI_LOW);
  return y < 0 || Object.is(y, -0) ? -angle : angle;
}

/**
 * Length of the vector (x, y).
 * @returns within 2 ulp, without overflow or underflow on the way; Infinity if either is infinite
 */
export function hypot(x: number, y: number): number {
  const ax = Math.abs(x);
  const ay = Math.abs(y);
  if (ax === Infinity || ay === Infinity) return Infinity;
  const large = Math.max(ax, ay);
  if (!(large > 1e-140 && large < 1e150)) {
    if (!(large > 0)) return ax + ay;
    const scale = large > 1 ? 2 ** 600 : 2 ** -600;
    const sx = ax / scale;
    const sy = ay / scale;
    return Math.sqrt(sx * sx + sy * sy) * scale;
  }
  return Math.sqrt(ax * ax + ay * ay);
}
