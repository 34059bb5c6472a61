/**
 * The steps of a knob: which values lie on its ruler, and where a value stands among them. Preferred values follow
 * IEC 60063 (E6, E12, E24); volts and hertz step through 1-2-5, and through a finer tidy row when dragged.
 */
import { log } from '../numerics/elementary.ts';

/** IEC 60063, series E6, E12 and E24, two figures. */
const E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];
const E12 = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];
const E6 = [10, 15, 22, 33, 47, 68];
const ONE_TWO_FIVE = [10, 20, 50];
/** Round two-figure numbers, close enough together that dragging feels continuous. */
const TIDY = [
  10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 22, 24, 26, 28, 30, 32, 34, 36, 38, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90, 95,
];

export type Row = 'E6' | 'E12' | 'E24' | '1-2-5' | 'tidy';
const ROWS: Readonly<Record<Row, readonly number[]>> = { E6, E12, E24, '1-2-5': ONE_TWO_FIVE, tidy: TIDY };

/** What a knob's ruler looks like: rows that repeat every decade, or even steps through zero. */
export type Scale =
  | {
      kind: 'decades';
      /** Row for the arrow keys and the wheel. */
      coarse: Row;
      /** Row for dragging, and for the arrow keys with shift. */
      fine: Row;
      least: number;
      most: number;
      /** The knob may stand at exactly zero, below its least step. */
      zero: boolean;
    }
  | { kind: 'even'; coarse: number; fine: number; least: number; most: number };

/** Value number `index` of a row: row[index mod length] in its decade, exactly as the decimal numeral reads. */
function valueAt(row: readonly number[], index: number): number {
  const decade = Math.floor(index / row.length);
  return Number(`${row[index - decade * row.length]}e${decade - 1}`);
}

/** Place of a positive value along a row, whole on its values and in proportion of the logarithm between two. */
function placeOf(row: readonly number[], value: number): number {
  const decade = Number(value.toExponential().split('e')[1]);
  let index = decade * row.length;
  while (valueAt(row, index) > value) index -= 1;
  while (valueAt(row, index + 1) <= value) index += 1;
  const below = valueAt(row, index);
  if (below === value) return index;
  return index + log(value / below) / log(valueAt(row, index + 1) / below);
}

/**
 * The value some steps away: from between two values the first step goes to the next one.
 * @param steps whole number, negative downwards
 */
export function step(scale: Scale, value: number, steps: number, grain: 'coarse' | 'fine'): number {
  if (steps === 0) return value;
  if (scale.kind === 'even') {
    const size = scale[grain];
    const place = value / size;
    const from = steps > 0 ? Math.floor(place + 1e-9) : Math.ceil(place - 1e-9);
    const stepped = Number(((from + steps) * size).toPrecision(12));
    return Math.min(scale.most, Math.max(scale.least, stepped));
  }
  const row = ROWS[scale[grain]];
  if (value <= 0) return steps > 0 ? limited(scale, valueAt(row, placeOf(row, scale.least) + steps - 1)) : 0;
  const place = placeOf(row, value);
  const from = steps > 0 ? Math.floor(place + 1e-9) : Math.ceil(place - 1e-9);
  const stepped = valueAt(row, from + steps);
  if (scale.zero && stepped < scale.least) return 0;
  return limited(scale, stepped);
}

/** Ten times more or less; an even scale moves ten coarse steps. */
export function decade(scale: Scale, value: number, up: boolean): number {
  if (scale.kind === 'even') return step(scale, value, up ? 10 : -10, 'coarse');
  return limited(scale, Number((up ? value * 10 : value / 10).toPrecision(12)));
}

function limited(scale: Scale, value: number): number {
  return Math.min(scale.most, Math.max(scale.least, value));
}

export interface Tick {
  /** Steps from the value in hand. */
  at: number;
  long: boolean;
}

/** The ruler's marks within `reach` steps on each side of a value. */
export function ticks(scale: Scale, value: number, reach: number): Tick[] {
  const marks: Tick[] = [];
  if (scale.kind === 'even') {
    const place = value / scale.fine;
    for (let index = Math.ceil(place - reach); index <= place + reach; index += 1) {
      const marked = index * scale.fine;
      if (marked < scale.least - 1e-9 || marked > scale.most + 1e-9) continue;
      marks.push({ at: index - place, long: index % 5 === 0 });
    }
    return marks;
  }
  const row = ROWS[scale.fine];
  const place = value > 0 ? placeOf(row, value) : placeOf(row, scale.least) - 1;
  for (let index = Math.ceil(place - reach); index <= place + reach; index += 1) {
    const marked = valueAt(row, index);
    if (marked < scale.least * (1 - 1e-9) || marked > scale.most * (1 + 1e-9)) {
      if (scale.zero && Math.abs(index - (placeOf(row, scale.least) - 1)) < 0.5) marks.push({ at: index - place, long: true });
      continue;
    }
    const figure = row[((index % row.length) + row.length) % row.length];
    marks.push({
      at: index - place,
      long: figure === 10 || figure === 20 || figure === 50 || (row === E24 && (figure === 22 || figure === 47)),
    });
  }
  return marks;
}
