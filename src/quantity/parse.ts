/**
 * Reading a quantity: a number in SI units, or text with an SI prefix and a unit, or a value code of IEC 60062
 * (`4k7`, `R33`, `2u2`). Sheets, options and the page all read through here.
 */
import { PREFIX_POWERS, readUnitText, UNITS, type Unit, unitNamedBy } from './units.ts';

/** How a quantity was written, so that a new value can be written the same way. */
export type Form =
  | { kind: 'number'; exponent: boolean }
  /** The letter stands for the decimal mark: 4k7, R33, 39k. `unit` is what follows, mostly nothing. */
  | { kind: 'code'; letter: string; unit: string }
  | { kind: 'prefixed'; space: string; prefix: string; spelling: string }
  | { kind: 'fraction'; space: string; spelling: string };

export type QuantityFault = 'decimal-comma' | 'wrong-unit' | 'not-a-quantity' | 'needs-unit' | 'share-above-one' | 'too-large';

export type ParsedQuantity =
  | { ok: true; value: number; form: Form }
  /** `cause` says what is wrong and `remedy` what would be right; both are parts of one sentence. */
  | { ok: false; fault: QuantityFault; cause: string; remedy: string };

export interface ParseOptions {
  /** A temperature without a unit is in °C, as on the command line. */
  bareCelsius?: boolean;
}

const ZERO_CELSIUS_IN_KELVIN = 273.15; // SI brochure, 9th edition, table 4
const NUMBER = String.raw`[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?`;
const NUMBER_THEN_TEXT = new RegExp(`^(${NUMBER})(\\s*)(.*)$`, 'su');
const CODE = /^([+-]?)(\d*)([RKkMGTFpnuµμmf])(\d*)(\s*)([^\d\s].*)?$/u;
const LONGEST_QUANTITY = 80;

/**
 * Read `input` as a quantity of `unit` into SI (temperatures in kelvin, percentages as a share).
 * Never throws: what cannot be read gives the cause and the remedy in words.
 * Source of the codes: IEC 60062:2016. `K` straight after digits is kilo in a resistance and kelvin elsewhere.
 */
export function parseQuantity(input: string | number, unit: Unit, options: ParseOptions = {}): ParsedQuantity {
  if (typeof input === 'number') return fromNumber(input, String(input), unit, options);
  const text = normalize(input);
  if (text === '') return notAQuantity(input, unit);
  if (text.length > LONGEST_QUANTITY) return notAQuantity(`${text.slice(0, 20)}...`, unit);
  return decimalComma(text, unit) ?? fraction(text, unit) ?? code(text, unit) ?? prefixed(text, unit, options) ?? notAQuantity(text, unit);
}

/** Typographic minus and the various spaces are read as their plain kin. */
function normalize(text: string): string {
  return text
    .replaceAll('\u2212', '-')
    .replace(/[\u00a0\u2009\u202f]/gu, ' ')
    .trim();
}

function fromNumber(value: number, text: string, unit: Unit, options: ParseOptions): ParsedQuantity {
  if (!Number.isFinite(value)) {
    return {
      ok: false,
      fault: 'too-large',
      cause: `${text} is not a finite number`,
      remedy: `write a value such as ${UNITS[unit].example}`,
    };
  }
  const form: Form = { kind: 'number', exponent: /[eE]/.test(text) };
  if (unit === 'temperature') {
    if (options.bareCelsius === true) return { ok: true, value: value + ZERO_CELSIUS_IN_KELVIN, form };
    return { ok: false, fault: 'needs-unit', cause: `the temperature ${text} has no unit`, remedy: `write ${text} °C (or K)` };
  }
  if (unit === 'share' && value > 1) {
    return { ok: false, fault: 'share-above-one', cause: `${text} is more than the whole`, remedy: `write ${text} %` };
  }
  return { ok: true, value, form };
}

/** `4,7k`: an error of its own, with the two ways to write it. */
function decimalComma(text: string, unit: Unit): ParsedQuantity | null {
  const match = /^([+-]?\d+),(\d+)(\s*)(\D*)$/u.exec(text);
  if (match === null) return null;
  const [, whole, decimals, space, rest] = match as unknown as [string, string, string, string, string];
  return {
    ok: false,
    fault: 'decimal-comma',
    cause: `${text} has a decimal comma`,
    remedy: commaRemedy(whole, decimals, space, rest, unit),
  };
}

/** The remedy for a decimal comma: "write 4k7 or 4.7k". */
export function commaRemedy(whole: string, decimals: string, space: string, rest: string, unit: Unit): string {
  const point = `${whole}.${decimals}${space}${rest}`;
  const codes = unit === 'Ω' || unit === 'F';
  if (codes && rest.length === 1 && Object.hasOwn(PREFIX_POWERS, rest)) return `write ${whole}${rest}${decimals} or ${point}`;
  if (unit === 'Ω' && /^(R|Ω|ohm)?$/u.test(rest)) return `write ${whole}R${decimals} or ${point}`;
  return `write ${point}`;
}

/** `1/4 W`: powers alone are written so. */
function fraction(text: string, unit: Unit): ParsedQuantity | null {
  const match = /^(\d{1,6})\s*\/\s*(\d{1,6})(\s*)(W?)$/u.exec(text);
  if (match === null) return null;
  const [, numerator, denominator, space, spelling] = match as unknown as [string, string, string, string, string];
  if (unit !== 'W') {
    return {
      ok: false,
      fault: 'not-a-quantity',
      cause: `${text} is a fraction, which powers alone may be`,
      remedy: `write a decimal number such as ${UNITS[unit].example}`,
    };
  }
  if (Number(denominator) === 0) return notAQuantity(text, unit);
  return { ok: true, value: Number(numerator) / Number(denominator), form: { kind: 'fraction', space, spelling } };
}

/** Powers of ten of the letters that may stand for the decimal mark in a value of `unit`. */
function codePower(letter: string, unit: Unit): number | null {
  if (unit === 'Ω' && letter === 'R') return 0;
  if (unit === 'Ω' && letter === 'K') return 3;
  if (unit === 'F' && letter === 'F') return 0;
  if (!UNITS[unit].prefixes || UNITS[unit].spellings.includes(letter)) return null;
  return Object.hasOwn(PREFIX_POWERS, letter) ? (PREFIX_POWERS[letter] as number) : null;
}

function code(text: string, unit: Unit): ParsedQuantity | null {
  const match = CODE.exec(text);
  if (match === null) return null;
  const [, sign, before, letter, after, space, trailing = ''] = match as unknown as [
    string,
    string,
    string,
    string,
    string,
    string,
    string | undefined,
  ];
  if (before === '' && after === '') return null;
  const power = codePower(letter, unit);
  if (power === null) return null;
  if (trailing === '' ? space !== '' : !UNITS[unit].spellings.includes(trailing)) return null;
  return finite(`${sign}${before === '' ? '0' : before}.${after === '' ? '0' : after}`, power, text, unit, {
    kind: 'code',
    letter,
    unit: `${space}${trailing}`,
  });
}

function prefixed(text: string, unit: Unit, options: ParseOptions): ParsedQuantity | null {
  const match = NUMBER_THEN_TEXT.exec(text);
  if (match === null) return null;
  const [, mantissa, space, rest] = match as unknown as [string, string, string, string];
  if (rest === '') return fromNumber(Number(mantissa), mantissa, unit, options);
  const found = readUnitText(rest, unit);
  if (found === null) return misread(text, mantissa, rest, unit);
  const form: Form = { kind: 'prefixed', space, prefix: found.prefix, spelling: found.spelling };
  if (unit === 'temperature') {
    const value = found.spelling === 'K' ? Number(mantissa) : Number(mantissa) + ZERO_CELSIUS_IN_KELVIN;
    return Number.isFinite(value) ? { ok: true, value, form } : fromNumber(value, text, unit, options);
  }
  const power = unit === 'share' ? -2 : (PREFIX_POWERS[found.prefix] as number);
  return finite(mantissa, power, text, unit, form);
}

/** Mantissa times a power of ten, rounded once: `4k7` is the same double as 4700. */
function finite(mantissa: string, power: number, text: string, unit: Unit, form: Form): ParsedQuantity {
  const [digits, exponent = '0'] = mantissa.toLowerCase().split('e') as [string, string | undefined];
  const value = Number(`${digits}e${Number(exponent) + power}`);
  if (!Number.isFinite(value)) return fromNumber(value, text, unit, {});
  return { ok: true, value, form };
}

/** Another unit, a unit in the wrong case, or nothing known behind the number. */
function misread(text: string, mantissa: string, rest: string, unit: Unit): ParsedQuantity {
  const { takes, example } = UNITS[unit];
  const other = unitNamedBy(rest, unit);
  if (other !== null) {
    return {
      ok: false,
      fault: 'wrong-unit',
      cause: `${text} is in ${unitWord(other)}, but this takes ${takes}`,
      remedy: `write a value such as ${example}`,
    };
  }
  if (unit === 'V' && /^[a-z]?V\s*(pp|p-p|rms|pk|p)$/iu.test(rest)) {
    return {
      ok: false,
      fault: 'not-a-quantity',
      cause: `${text} says how the volts are counted, which the key does`,
      remedy: `write ${mantissa} ${rest.replace(/V.*$/isu, 'V')}`,
    };
  }
  const cased = sameButForCase(rest, unit);
  if (cased !== null) {
    return {
      ok: false,
      fault: 'not-a-quantity',
      cause: `capitals matter in units, and ${rest} is none`,
      remedy: `write ${mantissa} ${cased}`,
    };
  }
  return notAQuantity(text, unit);
}

function unitWord(unit: Unit): string {
  const words: Partial<Record<Unit, string>> = { share: 'percent', temperature: 'degrees or kelvins', '°': 'degrees of angle' };
  return words[unit] ?? UNITS[unit].takes;
}

/** A prefix and a spelling that differ from the text in capitals alone. */
function sameButForCase(text: string, unit: Unit): string | null {
  const { spellings, prefixes } = UNITS[unit];
  const lower = text.toLowerCase();
  for (const prefix of prefixes ? ['', ...Object.keys(PREFIX_POWERS)] : ['']) {
    const hit = spellings.find((spelling) => `${prefix}${spelling}`.toLowerCase() === lower);
    if (hit !== undefined) return `${prefix}${hit}`;
  }
  return null;
}

function notAQuantity(text: string, unit: Unit): ParsedQuantity {
  const { takes, example } = UNITS[unit];
  const shown = text.trim() === '' ? 'an empty value' : `"${text}"`;
  return {
    ok: false,
    fault: 'not-a-quantity',
    cause: `${shown} cannot be read; this takes ${takes}`,
    remedy: `write a value such as ${example}`,
  };
}
