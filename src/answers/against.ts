/**
 * Any question against a knob: the same question at every value of one quantity of the sheet, and every figure of the
 * answer that is a single number as a series.
 */
import { exp, log } from '../numerics/elementary.ts';
import type { Unit } from '../quantity/index.ts';
import { quantityAt, withValue } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import type { Answer, NoAnswer } from './types.ts';

export type KnobScale = 'log' | 'linear';

/** How far a knob is turned: both ends included, SI (temperatures in K). */
export interface KnobRange {
  /** Dotted path to a quantity of the sheet: `parts.R3.resistor`. */
  path: string;
  from: number;
  to: number;
  /** How many values, at least 2. */
  points: number;
  /** How they are spaced; by default as `usualScale` has it. */
  scale?: KnobScale;
}

/** The `against` object of the answers' contract. */
export interface Against {
  path: string;
  unit: string;
  /** SI; temperatures in °C. */
  values: number[];
  /** Dotted names of figures (`high.room`, `nodes.out`); null where that value has no such figure. */
  figures: Record<string, (number | null)[]>;
  /** Values at which the question has no answer, and why. */
  unanswered: { value: number; error: string }[];
}

const ZERO_CELSIUS_IN_KELVIN = 273.15; // SI brochure, 9th edition, table 4

/** Quantities whose values people step by ratios; the others they step by differences (common practice, no source). */
const BY_RATIO: ReadonlySet<Unit> = new Set<Unit>(['Ω', 'F', 'H', 'Hz', 's', 'A', 'W', 'm', 'F/m']);

/** Log where people think of the quantity in ratios and the range has no zero in it; else linear. */
function usualScale(unit: Unit, from: number, to: number): KnobScale {
  return BY_RATIO.has(unit) && from > 0 && to > 0 ? 'log' : 'linear';
}

/** The values of a knob over its range, ends exact. */
function knobValues({ from, to, points }: KnobRange, scale: KnobScale): number[] {
  const ratio = scale === 'log' ? log(to / from) : 0;
  return Array.from({ length: points }, (_, k) => {
    if (k === 0) return from;
    if (k === points - 1) return to;
    const share = k / (points - 1);
    return scale === 'log' ? from * exp(ratio * share) : from + (to - from) * share;
  });
}

/** Every figure of an answer that is a single number, by dotted name. Curves, lists and words are left out. */
export function figuresOf(answer: Answer): Map<string, number> {
  const found = new Map<string, number>();
  const walk = (value: unknown, name: string): void => {
    if (typeof value === 'number') found.set(name, value);
    else if (typeof value === 'object' && value !== null && !Array.isArray(value)) {
      for (const [key, inner] of Object.entries(value))
        if (name !== '' || key !== 'format') walk(inner, name === '' ? key : `${name}.${key}`);
    }
  };
  walk(answer, '');
  return found;
}

/**
 * Asks at every value of the knob. `ask` answers for a whole sheet; `progress` is called with the share done after each.
 * Throws RangeError where the path leads to no quantity of the sheet, or a logarithmic range touches zero.
 */
export function askAgainst(
  ask: (sheet: Sheet) => Answer | NoAnswer,
  sheet: Sheet,
  range: KnobRange,
  progress: (done: number) => void = () => {},
): Against {
  const quantity = quantityAt(sheet, range.path);
  if (quantity === null) throw new RangeError(`the sheet has no quantity at ${range.path}`);
  const scale = range.scale ?? usualScale(quantity.unit, range.from, range.to);
  if (scale === 'log' && !(range.from > 0 && range.to > 0)) throw new RangeError('a range in logarithm cannot touch zero');
  const shown = (value: number): number => (quantity.unit === 'temperature' ? value - ZERO_CELSIUS_IN_KELVIN : value);
  const values = knobValues(range, scale);
  const figures: Record<string, (number | null)[]> = {};
  const unanswered: Against['unanswered'] = [];
  values.forEach((value, k) => {
    const answer = ask(withValue(sheet, range.path, value));
    if ('error' in answer) unanswered.push({ value: shown(value), error: answer.error });
    else {
      for (const [name, figure] of figuresOf(answer)) {
        figures[name] ??= values.map(() => null);
        figures[name][k] = figure;
      }
    }
    progress((k + 1) / values.length);
  });
  return { path: range.path, unit: quantity.unit === 'temperature' ? '°C' : quantity.unit, values: values.map(shown), figures, unanswered };
}
