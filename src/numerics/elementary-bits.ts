/**
 * Access to the bits of a double, and exact powers of two. Shared views: write the number, read the words, at once.
 */
export const NUMBER_VIEW = new Float64Array(1);
export const WORD_VIEW = new Int32Array(NUMBER_VIEW.buffer);

NUMBER_VIEW[0] = 1;
/** Index in WORD_VIEW of the word that holds sign, exponent and the upper 20 bits of the fraction. */
export const HIGH_WORD = WORD_VIEW[1] === 0x3ff00000 ? 1 : 0;

/** Exponent of the least subnormal power of two, and so the offset into POWERS_OF_TWO. */
export const LEAST_EXPONENT = -1074;

/** POWERS_OF_TWO[k - LEAST_EXPONENT] is 2^k exactly, k from -1074 to 1023. */
export const POWERS_OF_TWO = new Float64Array(1023 - LEAST_EXPONENT + 1);
for (let k = 0, power = Number.MIN_VALUE; k < POWERS_OF_TWO.length; k++, power *= 2) POWERS_OF_TWO[k] = power;

/** 2^54: lifts a subnormal number into the normal range without rounding. */
export const TWO_54 = 18014398509481984;

/** ln 2 in two parts; the first has 32 bits, so its product with an exponent is exact. */
export const LN2_HIGH = 0.6931471803691238;
export const LN2_LOW = 1.9082149292705877e-10;
