/** Scales, ticks and axis titles. */
import { ticks as niceTicks } from 'd3-array';
import { log10 } from '../numerics/elementary.ts';
import type { Unit } from '../words/numbers.ts';
import type { Axis } from './scene.ts';

/** Maps a value of the axis to a coordinate between `start` (at `axis.from`) and `end`. */
export function scaleOf(axis: Pick<Axis, 'from' | 'to' | 'scale'>, start: number, end: number): (value: number) => number {
  if (axis.scale === 'logarithmic') {
    const from = log10(axis.from);
    const span = log10(axis.to) - from;
    return (value) => start + ((end - start) * (log10(value) - from)) / span;
  }
  const span = axis.to - axis.from;
  return (value) => start + ((end - start) * (value - axis.from)) / span;
}

export interface Tick {
  value: number;
  /** Empty: a tick without a number. */
  label: string;
}

const MINUS = '\u2212';
const GROUPS: readonly { power: number; word: string; letter: string }[] = [
  { power: -12, word: 'pico', letter: 'p' },
  { power: -9, word: 'nano', letter: 'n' },
  { power: -6, word: 'micro', letter: 'µ' },
  { power: -3, word: 'milli', letter: 'm' },
  { power: 0, word: '', letter: '' },
  { power: 3, word: 'kilo', letter: 'k' },
  { power: 6, word: 'mega', letter: 'M' },
  { power: 9, word: 'giga', letter: 'G' },
];

const UNIT_WORDS: Readonly<Partial<Record<Unit, string>>> = {
  V: 'volts',
  A: 'amperes',
  Ω: 'ohms',
  Hz: 'hertz',
  s: 'seconds',
  W: 'watts',
  dB: 'dB',
  '°': 'degrees',
  share: 'per cent',
  number: '',
};

/** Units whose axis takes a prefix, so that its numbers stay short. */
const PREFIXED: ReadonlySet<Unit> = new Set<Unit>(['V', 'A', 'Ω', 'Hz', 's', 'W']);

function groupOf(axis: Axis): { power: number; word: string } {
  if (!PREFIXED.has(axis.unit) || axis.scale === 'logarithmic') return GROUPS[4];
  const largest = Math.max(Math.abs(axis.from), Math.abs(axis.to));
  if (largest === 0) return GROUPS[4];
  const exponent = Number(largest.toExponential(2).split('e')[1]);
  // From 0.5 V or 0.5 s on, whole units read better than 500 thousandths.
  if (exponent === -1 && largest >= 0.5) return GROUPS[4];
  const wanted = Math.min(9, Math.max(-12, Math.floor(exponent / 3) * 3));
  return GROUPS[wanted / 3 + 4];
}

/** A number for a tick: fixed decimals, true minus. */
function tickText(value: number, decimals: number): string {
  if (value === 0) return '0';
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

function decimalsOf(step: number): number {
  const exponent = Number(step.toExponential(0).split('e')[1]);
  return exponent >= 0 ? 0 : -exponent;
}

function angleTicks(axis: Axis, count: number): Tick[] {
  const step = [15, 30, 45, 90, 180].find((s) => (axis.to - axis.from) / s <= count) ?? 360;
  const found: Tick[] = [];
  for (let k = Math.ceil(axis.from / step); k * step <= axis.to; k++) found.push({ value: k * step, label: `${tickText(k * step, 0)}°` });
  return found;
}

/** Decades only; a number on every second or third of them where there are many. */
function decadeTicks(axis: Axis, count: number): Tick[] {
  const first = Math.ceil(log10(axis.from) - 1e-9);
  const last = Math.floor(log10(axis.to) + 1e-9);
  const every = Math.max(1, Math.ceil((last - first + 1) / Math.max(2, count)));
  const found: Tick[] = [];
  for (let exponent = first; exponent <= last; exponent++) {
    const value = Number(`1e${exponent}`);
    const power = Math.min(9, Math.max(-12, Math.floor(exponent / 3) * 3));
    const group = GROUPS[power / 3 + 4];
    const digits = String(Number(`1e${exponent - power}`));
    const label = (exponent - first) % every === 0 ? `${digits}${group.letter && '\u00a0'}${group.letter}` : '';
    found.push({ value, label });
  }
  // Within one decade, its ends say too little: thirds of it are labelled too.
  if (found.length < 2) {
    const base = Number(`1e${Math.floor(log10(axis.from))}`);
    for (const factor of [1, 2, 5, 10, 20, 50]) {
      const value = base * factor;
      if (value >= axis.from && value <= axis.to && !found.some((t) => t.value === value)) found.push({ value, label: decadePart(value) });
    }
    found.sort((a, b) => a.value - b.value);
  }
  return found;
}

function decadePart(value: number): string {
  const exponent = Number(value.toExponential(0).split('e')[1]);
  const power = Math.min(9, Math.max(-12, Math.floor(exponent / 3) * 3));
  const group = GROUPS[power / 3 + 4];
  const digits = String(Number((value / Number(`1e${power}`)).toPrecision(2)));
  return `${digits}${group.letter && '\u00a0'}${group.letter}`;
}

/**
 * The ticks of an axis, all within its data.
 * @param count about how many numbers there is room for
 */
export function ticksOf(axis: Axis, count: number): Tick[] {
  if (axis.scale === 'logarithmic') return decadeTicks(axis, count);
  if (axis.steps === 'angle') return angleTicks(axis, count);
  const factor = axis.unit === 'share' ? 100 : Number(`1e${-groupOf(axis).power}`);
  let values = niceTicks(axis.from * factor, axis.to * factor, count);
  if (axis.steps === 'whole') values = values.filter(Number.isInteger);
  const step = values.length > 1 ? values[1] - values[0] : Math.abs(values[0] ?? 1);
  const decimals = step === 0 ? 0 : decimalsOf(Number(step.toPrecision(6)));
  return values.map((value) => ({ value: value / factor, label: tickText(value, Math.min(decimals, 9)) }));
}

/** "jack, volts" or "milliseconds, one period of 440 Hz". */
export function axisTitle(axis: Axis): string {
  const word = UNIT_WORDS[axis.unit] ?? axis.unit;
  const unit = word === '' ? '' : `${groupOf(axis).word}${word}${axis.of === undefined ? '' : ` ${axis.of}`}`;
  return [axis.name, unit, axis.note].filter((piece) => piece !== undefined && piece !== '').join(', ');
}
