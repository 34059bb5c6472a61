/**
 * Preferred values: the E series of IEC 60063:2015.
 * E3 to E24 are every eighth to every one of E24; E48 and E96 are every fourth and every second of E192.
 */

export const SERIES_NAMES = ['E3', 'E6', 'E12', 'E24', 'E48', 'E96', 'E192'] as const;
export type SeriesName = (typeof SERIES_NAMES)[number];

const E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];

// The rounding rule with its one exception (920, where 10^(185/192) rounds to 919), as the standard prints it.
const E192 = [
  100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120, 121, 123, 124, 126, 127, 129, 130, 132, 133, 135, 137,
  138, 140, 142, 143, 145, 147, 149, 150, 152, 154, 156, 158, 160, 162, 164, 165, 167, 169, 172, 174, 176, 178, 180, 182, 184, 187, 189,
  191, 193, 196, 198, 200, 203, 205, 208, 210, 213, 215, 218, 221, 223, 226, 229, 232, 234, 237, 240, 243, 246, 249, 252, 255, 258, 261,
  264, 267, 271, 274, 277, 280, 284, 287, 291, 294, 298, 301, 305, 309, 312, 316, 320, 324, 328, 332, 336, 340, 344, 348, 352, 357, 361,
  365, 370, 374, 379, 383, 388, 392, 397, 402, 407, 412, 417, 422, 427, 432, 437, 442, 448, 453, 459, 464, 470, 475, 481, 487, 493, 499,
  505, 511, 517, 523, 530, 536, 542, 549, 556, 562, 569, 576, 583, 590, 597, 604, 612, 619, 626, 634, 642, 649, 657, 665, 673, 681, 690,
  698, 706, 715, 723, 732, 741, 750, 759, 768, 777, 787, 796, 806, 816, 825, 835, 845, 856, 866, 876, 887, 898, 909, 920, 931, 942, 953,
  965, 976, 988,
];

function everyNth(values: readonly number[], step: number): number[] {
  return values.filter((_, index) => index % step === 0);
}

const TABLES: Readonly<Record<SeriesName, readonly number[]>> = {
  E3: everyNth(E24, 8),
  E6: everyNth(E24, 4),
  E12: everyNth(E24, 2),
  E24,
  E48: everyNth(E192, 4),
  E96: everyNth(E192, 2),
  E192,
};

/** The values of one decade, as the standard lists them: 10 to 91, or 100 to 988. */
export function seriesValues(series: SeriesName): readonly number[] {
  return TABLES[series];
}

/** A place on the ladder of a series: the index counts on through the decades; 0 is the decade's first at 1. */
function onLadder(series: SeriesName, index: number): number {
  const table = TABLES[series];
  const decade = Math.floor(index / table.length);
  const scale = table[0] === 10 ? 1 : 2;
  return Number(`${table[index - decade * table.length]}e${decade - scale}`);
}

/** Index of the largest preferred value that is not above `value` (a share of 1e-9 counts as equal). */
function rungAtOrBelow(series: SeriesName, value: number): number {
  if (!(value > 0) || !Number.isFinite(value)) throw new RangeError(`preferred values are positive: ${value}`);
  const table = TABLES[series];
  const decade = Number(value.toExponential().split('e')[1]);
  let index = decade * table.length + table.length;
  while (onLadder(series, index) > value * (1 + 1e-9)) index -= 1;
  return index;
}

/** Whether `value` is in the series, to a share of 1e-9. Throws RangeError unless it is positive and finite. */
export function isPreferred(value: number, series: SeriesName): boolean {
  return Math.abs(onLadder(series, rungAtOrBelow(series, value)) / value - 1) <= 1e-9;
}

/** The next preferred value above `value`. Throws RangeError unless it is positive and finite. */
export function nextUp(value: number, series: SeriesName): number {
  return onLadder(series, rungAtOrBelow(series, value) + 1);
}

/** The next preferred value below `value`. Throws RangeError unless it is positive and finite. */
export function nextDown(value: number, series: SeriesName): number {
  const index = rungAtOrBelow(series, value);
  return isPreferred(value, series) ? onLadder(series, index - 1) : onLadder(series, index);
}

/**
 * The preferred value nearest to `value`: by ratio (the default, as tolerances are ratios) or by difference.
 * Of two equally near the larger. Throws RangeError unless `value` is positive and finite.
 */
export function nearestPreferred(value: number, series: SeriesName, by: 'ratio' | 'difference' = 'ratio'): number {
  const index = rungAtOrBelow(series, value);
  const below = onLadder(series, index);
  const above = onLadder(series, index + 1);
  const lowerIsNearer = by === 'ratio' ? value * value < below * above : value - below < above - value;
  return lowerIsNearer ? below : above;
}

/** All preferred values from `low` to `high`, both included. */
export function preferredBetween(low: number, high: number, series: SeriesName): number[] {
  const found: number[] = [];
  const start = rungAtOrBelow(series, low);
  for (let index = isPreferred(low, series) ? start : start + 1; onLadder(series, index) <= high * (1 + 1e-9); index += 1) {
    found.push(onLadder(series, index));
  }
  return found;
}
