/**
 * The units that a quantity of a sheet or an answer can have, the ways people write them, and the SI prefixes.
 * Symbols: SI brochure, 9th edition (BIPM 2019); the ohm's spellings are common practice, no source.
 */

/**
 * What a number stands for. `temperature` is an absolute temperature, kelvin inside and written in °C; `°C` is for
 * figures that are already in °C; `share` is a part of a whole, 0 to 1 inside and written in percent; `number` has
 * no unit.
 */
export type Unit =
  | 'Ω'
  | 'V'
  | 'A'
  | 'F'
  | 'H'
  | 'Hz'
  | 'W'
  | 's'
  | 'm'
  | 'F/m'
  | 'S'
  | 'V/√Hz'
  | 'K/W'
  | 'V/K'
  | 'dB'
  | '°'
  | '°C'
  | 'temperature'
  | 'share'
  | 'number';

interface UnitFacts {
  /** How the unit is printed. */
  symbol: string;
  /** Every spelling that is read, the preferred one first. */
  spellings: readonly string[];
  /** What a key of this unit takes, in words: "takes ohms (Ω)". */
  takes: string;
  /** A value written the usual way. */
  example: string;
  /** Whether SI prefixes go before it. */
  prefixes: boolean;
}

export const UNITS: Readonly<Record<Unit, UnitFacts>> = {
  Ω: { symbol: 'Ω', spellings: ['Ω', '\u2126', 'ohm', 'ohms', 'Ohm', 'R'], takes: 'ohms (Ω)', example: '4k7 or 680 Ω', prefixes: true },
  V: { symbol: 'V', spellings: ['V'], takes: 'volts (V)', example: '12 V', prefixes: true },
  A: { symbol: 'A', spellings: ['A'], takes: 'amperes (A)', example: '5 mA', prefixes: true },
  F: { symbol: 'F', spellings: ['F'], takes: 'farads (F)', example: '100n or 2.2 µF', prefixes: true },
  H: { symbol: 'H', spellings: ['H'], takes: 'henries (H)', example: '150 µH', prefixes: true },
  Hz: { symbol: 'Hz', spellings: ['Hz'], takes: 'hertz (Hz)', example: '440 Hz', prefixes: true },
  W: { symbol: 'W', spellings: ['W'], takes: 'watts (W)', example: '0.25 W or 1/4 W', prefixes: true },
  s: { symbol: 's', spellings: ['s'], takes: 'seconds (s)', example: '2 µs', prefixes: true },
  m: { symbol: 'm', spellings: ['m'], takes: 'metres (m)', example: '30 m', prefixes: true },
  'F/m': { symbol: 'F/m', spellings: ['F/m'], takes: 'farads per metre (F/m)', example: '100 pF/m', prefixes: true },
  S: { symbol: 'S', spellings: ['S'], takes: 'siemens (S)', example: '40 mS', prefixes: true },
  'V/√Hz': { symbol: 'V/√Hz', spellings: ['V/√Hz'], takes: 'volts per root hertz (V/√Hz)', example: '5 nV/√Hz', prefixes: true },
  'K/W': { symbol: 'K/W', spellings: ['K/W', '°C/W'], takes: 'kelvins per watt (K/W)', example: '12 K/W', prefixes: false },
  'V/K': { symbol: 'V/K', spellings: ['V/K'], takes: 'volts per kelvin (V/K)', example: '-2 mV/K', prefixes: true },
  dB: { symbol: 'dB', spellings: ['dB'], takes: 'decibels (dB)', example: '102 dB', prefixes: false },
  '°': { symbol: '°', spellings: ['°'], takes: 'degrees of angle (°)', example: '45°', prefixes: false },
  '°C': { symbol: '°C', spellings: ['°C', '\u2103'], takes: 'degrees Celsius (°C)', example: '25 °C', prefixes: false },
  temperature: { symbol: '°C', spellings: ['°C', '\u2103', 'K'], takes: 'a temperature in °C or K', example: '25 °C', prefixes: false },
  share: { symbol: '%', spellings: ['%'], takes: 'a percentage', example: '5 %', prefixes: false },
  number: { symbol: '', spellings: [], takes: 'a plain number', example: '240', prefixes: false },
};

/**
 * SI prefixes as they are read, with their powers of ten. The contract asks for pico to giga; femto and tera are an
 * extension (saturation currents, insulation). Both characters for micro, and `u`, are one prefix.
 */
export const PREFIX_POWERS: Readonly<Record<string, number>> = {
  f: -15,
  p: -12,
  n: -9,
  u: -6,
  '\u00b5': -6,
  '\u03bc': -6,
  m: -3,
  '': 0,
  k: 3,
  M: 6,
  G: 9,
  T: 12,
};

/** Prefixes as they are printed, by power of ten. */
export const PRINTED_PREFIXES: ReadonlyMap<number, string> = new Map([
  [-15, 'f'],
  [-12, 'p'],
  [-9, 'n'],
  [-6, '\u00b5'],
  [-3, 'm'],
  [0, ''],
  [3, 'k'],
  [6, 'M'],
  [9, 'G'],
  [12, 'T'],
]);

/** A unit and its prefix, found in the text behind a number. */
export interface UnitText {
  prefix: string;
  /** The unit as written, empty where it was left out. */
  spelling: string;
}

/**
 * Read the text behind a number as a prefix and a spelling of `unit`, or as a prefix alone.
 * Returns null where it is neither.
 */
export function readUnitText(text: string, unit: Unit): UnitText | null {
  const { spellings, prefixes } = UNITS[unit];
  for (const spelling of spellings) {
    if (!text.endsWith(spelling)) continue;
    const prefix = text.slice(0, text.length - spelling.length);
    if (prefix === '' || (prefixes && Object.hasOwn(PREFIX_POWERS, prefix))) return { prefix, spelling };
  }
  if (text === '' || (prefixes && Object.hasOwn(PREFIX_POWERS, text))) return { prefix: text, spelling: '' };
  return null;
}

/** The unit, other than `unit`, whose spelling (with a prefix or not) the text is; null where it is none. */
export function unitNamedBy(text: string, unit: Unit): Unit | null {
  if (text === '') return null;
  for (const other of Object.keys(UNITS) as Unit[]) {
    if (other === unit || other === '°C') continue;
    const found = readUnitText(text, other);
    if (found !== null && found.spelling !== '') return other;
  }
  return null;
}
