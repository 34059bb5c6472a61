/**
 * Printing quantities: to three significant figures with an SI prefix for people, or in the form that an author
 * used, for writing a changed value back.
 */
import { type Form, parseQuantity } from './parse.ts';
import { PREFIX_POWERS, PRINTED_PREFIXES, UNITS, type Unit } from './units.ts';

export interface FormatOptions {
  /** Significant figures, default 3. */
  digits?: number;
  /** Minus as U+2212 and a no-break space before the unit, as in running text. Default false: plain characters. */
  typographic?: boolean;
  /** Leave out zeros at the end of the decimals. Default false. */
  trim?: boolean;
}

const KELVIN_OF_ZERO_CELSIUS = 273.15;
const SMALLEST_POWER = -15;
const LARGEST_POWER = 12;

/**
 * Print `value` (SI; a `share` from 0 to 1; a `temperature` in kelvin) with its unit: `1.80 V`, `999.6` ohms as
 * `1.00 kΩ`. Throws RangeError on a value that is not finite: such a value is never shown as a result.
 */
export function formatQuantity(value: number, unit: Unit, options: FormatOptions = {}): string {
  if (!Number.isFinite(value)) throw new RangeError(`a quantity that is not finite cannot be printed: ${value}`);
  const { digits = 3, typographic = false, trim = false } = options;
  const { figures, unitText } = parts(value, unit, digits);
  const shown = trim ? trimZeros(figures) : figures;
  const space = unitText === '' || unit === '°' ? '' : typographic ? '\u00a0' : ' ';
  return `${typographic ? shown.replaceAll('-', '\u2212') : shown}${space}${unitText}`;
}

/** `formatQuantity` for running text: typographic minus, no break between number and unit. */
export function printQuantity(value: number, unit: Unit, digits = 3): string {
  return formatQuantity(value, unit, { digits, typographic: true });
}

function parts(value: number, unit: Unit, digits: number): { figures: string; unitText: string } {
  const { symbol, prefixes } = UNITS[unit];
  if (unit === 'temperature') return { figures: degrees(value - KELVIN_OF_ZERO_CELSIUS), unitText: symbol };
  if (unit === '°C') return { figures: degrees(value), unitText: symbol };
  if (unit === 'dB' || unit === '°') return { figures: unsignedZero(value.toFixed(1)), unitText: symbol };
  if (unit === 'share') return { figures: plain(value * 100, digits), unitText: symbol };
  if (!prefixes) return { figures: plain(value, digits), unitText: symbol };
  if (value === 0) return { figures: '0', unitText: symbol };
  const [mantissa, exponent] = value.toExponential(digits - 1).split('e') as [string, string];
  const power = Math.floor(Number(exponent) / 3) * 3;
  if (power < SMALLEST_POWER || power > LARGEST_POWER) return { figures: `${mantissa}e${Number(exponent)}`, unitText: symbol };
  return { figures: shifted(mantissa, Number(exponent) - power), unitText: `${PRINTED_PREFIXES.get(power) ?? ''}${symbol}` };
}

/** Temperatures to a tenth of a degree, whole degrees from 100. */
function degrees(celsius: number): string {
  return unsignedZero(celsius.toFixed(Math.abs(celsius) < 99.95 ? 1 : 0));
}

function unsignedZero(text: string): string {
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

/** A number without a prefix, in powers of ten only where it is very large or very small. */
function plain(value: number, digits: number): string {
  if (value === 0) return '0';
  const [mantissa, exponent] = value.toExponential(digits - 1).split('e') as [string, string];
  const power = Number(exponent);
  return power < -4 || power > 6 ? `${mantissa}e${power}` : shifted(mantissa, power);
}

/** Move the decimal mark of `d.ddd` by `places`, in text, so that no rounding happens twice. */
function shifted(mantissa: string, places: number): string {
  const sign = mantissa.startsWith('-') ? '-' : '';
  const digits = mantissa.replace(/[-.]/g, '');
  if (places < 0) return `${sign}0.${'0'.repeat(-places - 1)}${digits}`;
  const whole = digits.slice(0, places + 1).padEnd(places + 1, '0');
  const rest = digits.slice(places + 1);
  return `${sign}${whole}${rest === '' ? '' : `.${rest}`}`;
}

function trimZeros(text: string): string {
  const [mantissa, exponent] = text.split('e') as [string, string | undefined];
  const short = mantissa.includes('.') ? mantissa.replace(/\.?0+$/, '') : mantissa;
  return exponent === undefined ? short : `${short}e${exponent}`;
}

/** Significant figures that a value keeps when it is written back into a sheet. */
const WRITTEN_DIGITS = 12;

/**
 * Write `value` (SI) the way `original` was written: codes stay codes (`4k7` to `3k3`), prefixes, spaces and unit
 * spellings stay, a bare number stays one. The result reads back as `value` to twelve significant figures.
 * Where `original` cannot be read, the value is printed plainly.
 */
export function formatLike(original: string | number, value: number, unit: Unit): string {
  if (!Number.isFinite(value)) throw new RangeError(`a quantity that is not finite cannot be written: ${value}`);
  const parsed = parseQuantity(original, unit, { bareCelsius: true });
  const form: Form = parsed.ok ? parsed.form : { kind: 'prefixed', space: ' ', prefix: '', spelling: UNITS[unit].symbol };
  switch (form.kind) {
    case 'number':
      return bare(unit === 'temperature' ? value - KELVIN_OF_ZERO_CELSIUS : value, form.exponent);
    case 'fraction':
      return asFraction(value, form.space, form.spelling);
    case 'code':
      return asCode(value, form, unit);
    case 'prefixed':
      return asPrefixed(value, form, unit);
  }
}

/** The shortest decimal text of a value to twelve figures. */
function bare(value: number, exponent: boolean): string {
  const rounded = Number(value.toPrecision(WRITTEN_DIGITS));
  if (!exponent) return String(rounded);
  return rounded === 0 ? '0' : rounded.toExponential().replace('e+', 'e');
}

function asFraction(value: number, space: string, spelling: string): string {
  for (const denominator of [2, 3, 4, 8, 10, 16]) {
    if (value < 1 && value > 0 && Math.abs(value * denominator - 1) < 1e-12) return `1/${denominator}${space}${spelling}`;
  }
  return `${bare(value, false)}${space}${spelling}`;
}

/** Mantissa and power of ten of `value`, the power a multiple of three within the printed prefixes. */
function engineering(value: number, preferred?: number): { mantissa: string; power: number } {
  const rounded = value.toExponential(WRITTEN_DIGITS - 1);
  const [digits, exponent] = rounded.split('e') as [string, string];
  const natural = Math.min(LARGEST_POWER, Math.max(SMALLEST_POWER, Math.floor(Number(exponent) / 3) * 3));
  const keep = preferred !== undefined && Number(exponent) - preferred >= -1 && Number(exponent) - preferred < 3;
  const power = keep ? preferred : natural;
  return { mantissa: trimZeros(shifted(digits, Number(exponent) - power)), power };
}

function asCode(value: number, form: { letter: string; unit: string }, unit: Unit): string {
  if (value === 0) return '0';
  const { mantissa, power } = engineering(value);
  const letter = codeLetter(power, form.letter, unit);
  if (letter === null) return `${mantissa}${form.unit}`;
  const [whole, decimals = ''] = mantissa.split('.') as [string, string | undefined];
  return `${whole}${letter}${decimals}${form.unit}`;
}

/** The letter for a power of ten, keeping the author's capital K and sign for micro; null: no letter is needed. */
function codeLetter(power: number, authors: string, unit: Unit): string | null {
  if (power === PREFIX_POWERS[authors] || (authors === 'K' && power === 3)) return authors;
  if (power === 0) return unit === 'Ω' ? 'R' : unit === 'F' ? 'F' : null;
  return power === -6 ? 'u' : (PRINTED_PREFIXES.get(power) ?? null);
}

function asPrefixed(value: number, form: { space: string; prefix: string; spelling: string }, unit: Unit): string {
  if (unit === 'temperature')
    return `${bare(form.spelling === 'K' ? value : value - KELVIN_OF_ZERO_CELSIUS, false)}${form.space}${form.spelling}`;
  if (unit === 'share') return `${bare(value * 100, false)}${form.space}${form.spelling}`;
  if (value === 0 || !UNITS[unit].prefixes) return `${bare(value, false)}${form.space}${form.spelling}`;
  const { mantissa, power } = engineering(value, PREFIX_POWERS[form.prefix]);
  const micro = form.prefix === '\u00b5' || form.prefix === '\u03bc' || form.prefix === 'u' ? form.prefix : '\u00b5';
  const prefix = power === -6 ? micro : (PRINTED_PREFIXES.get(power) ?? '');
  if (prefix === '' && form.spelling === '') return mantissa;
  return `${mantissa}${form.space}${prefix}${form.spelling}`;
}
