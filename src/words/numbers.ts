/**
 * Numbers as they are said: three significant figures, the unit's prefix, a no-break space before the unit and the
 * true minus sign. The digits are the quantity layer's; what is added is what prose needs: what rounding leaves of a
 * zero is said as 0, what is undefined as a dash.
 */
import { formatQuantity, UNITS, type Unit } from '../quantity/index.ts';
import { PREFIX_POWERS } from '../quantity/units.ts';

export type { Unit } from '../quantity/index.ts';

const NO_BREAK = '\u00a0';

/**
 * Magnitudes below these are what rounding leaves of a zero: a node behind a capacitor computes to 1e-15 V.
 * A tenth of the smallest prefix that people of the trade use with the unit.
 */
const NIL: Readonly<Partial<Record<Unit, number>>> = {
  V: 1e-9,
  number: 1e-12,
  share: 1e-12,
  '°': 0.05,
  dB: 0.05,
  F: 1e-16,
  'F/m': 1e-16,
  'V/√Hz': 1e-15,
};
const NIL_OTHERWISE = 1e-13;

export interface NumberStyle {
  /** Significant figures, default 3. */
  figures?: number;
  /** `keep`: 7.90 (tables); `trim`: 7.9 (prose). Default `trim`. */
  zeros?: 'keep' | 'trim';
}

const SUPERSCRIPT = '⁰¹²³⁴⁵⁶⁷⁸⁹';
function superscript(character: string): string {
  if (character === '-' || character === '\u2212') return '⁻';
  return character === '+' ? '' : SUPERSCRIPT[Number(character)];
}

/** A power of ten in print: `4.12e-7` is `4.12 × 10⁻⁷`. */
function withPower(text: string): string {
  return text.replace(/e([-\u2212+]?\d+)/, (_, power: string) => `${NO_BREAK}×${NO_BREAK}10${[...power].map(superscript).join('')}`);
}

/**
 * A figure with its unit, never broken between the two: `−0.252 V`, `7.9 mA`, `56.8 %`, `−28°`, `4.84 kΩ`.
 * @param value in SI units (a `share` from 0 to 1); null and what is not finite are said as a dash
 */
export function say(value: number | null | undefined, unit: Unit, style: NumberStyle = {}): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const nil = unit !== 'temperature' && Math.abs(value) < (NIL[unit] ?? NIL_OTHERWISE);
  const trim = nil || (style.zeros ?? 'trim') === 'trim';
  const options = { digits: style.figures ?? 3, typographic: true, trim };
  if (unit === 'V' && isTenthsOfVolt(value)) return `${formatQuantity(value, 'number', options)}${NO_BREAK}V`;
  return withPower(formatQuantity(nil ? 0 : value, unit, options));
}

/**
 * Tenths of a volt are said in volts, as on a bench: rooms of 6.17 V and 0.232 V stand in one sentence. Between the
 * figures that round to 0.1 and to 1.
 */
function isTenthsOfVolt(value: number): boolean {
  const magnitude = Math.abs(value);
  return magnitude >= 0.09995 && magnitude < 1;
}

/** A figure in its pieces, for tables that align on the decimal point: sign and digits, then prefix and unit. */
export interface SaidNumber {
  digits: string;
  unit: string;
}

/** The pieces of `say`; the unit of an angle is its sign. */
export function split(value: number | null | undefined, unit: Unit, style: NumberStyle = {}): SaidNumber {
  const said = say(value, unit, style);
  if (said.endsWith('°') && unit === '°') return { digits: said.slice(0, -1), unit: '°' };
  if (unit === 'number') return { digits: said, unit: '' };
  const space = said.lastIndexOf(NO_BREAK);
  return space < 0 ? { digits: said, unit: '' } : { digits: said.slice(0, space), unit: said.slice(space + 1) };
}

/** The magnitude of a figure, for sentences in which a word carries its direction ("down by 0.232 V"). */
export function saySize(value: number, unit: Unit, style: NumberStyle = {}): string {
  return say(Math.abs(value), unit, style);
}

/** Two figures in one unit, that of the larger: `1.07–2.31 ms`, `0.939–2.06 ms`. */
export function sayRange(from: number, to: number, unit: Unit, figures = 3): string {
  const upper = split(to, unit, { figures });
  const lower = split(from, unit, { figures });
  const digits =
    lower.unit === upper.unit || lower.digits === '0'
      ? lower.digits
      : split(from / prefixFactor(upper.unit, unit), 'number', { figures }).digits;
  return `${digits}–${upper.digits}${upper.unit && NO_BREAK}${upper.unit}`;
}

/** What a printed unit's prefix stands for: 1e-3 in `ms`. */
function prefixFactor(printed: string, unit: Unit): number {
  const prefix = printed.slice(0, printed.length - UNITS[unit].symbol.length);
  return Number(`1e${PREFIX_POWERS[prefix] ?? 0}`);
}
