/**
 * A figure as a description: axes in physical units and marks in data coordinates, nothing in pixels or characters.
 * `layout.ts` sets it out for a width in pixels (then `svg.ts` or `canvas.ts` draw it), `terminal.ts` for a width in
 * characters.
 */
import type { Unit } from '../words/numbers.ts';

export interface Axis {
  /** What is shown, before the unit: "jack" gives "jack, volts". */
  name?: string;
  /** What belongs to the unit: "volts to ground". */
  of?: string;
  /** What follows: "milliseconds, one period of 440 Hz". */
  note?: string;
  unit: Unit;
  /** Ends of the data in SI; on a logarithmic axis above zero. `from` < `to`. */
  from: number;
  to: number;
  scale: 'linear' | 'logarithmic';
  /** Steps of 45° or 90°, or whole numbers, instead of 1-2-5 steps. */
  steps?: 'angle' | 'whole';
}

/** A piece of text with one look. */
export interface Run {
  text: string;
  bold?: boolean;
  /** A node's name: italic serif. */
  node?: boolean;
  /** Subscript. */
  drop?: boolean;
  tone?: Tone;
}
export type Line = readonly Run[];

/** Roles of colour; `theme.ts` has the colours. */
export type Tone =
  | 'ink'
  | 'ink2'
  | 'rule'
  | 'hair'
  | 'paper'
  | 'volt'
  | 'voltl'
  | 'amp'
  | 'ampl'
  | 'lim'
  | 'ok'
  | 'okl'
  | 'mind'
  | 'mindl'
  | 'cap'
  | 'capl'
  | 'band'
  | 'hatch'
  | 'hatch2'
  | 'env'
  | 'bar';

/** `volt` and `amp` by unit; `second`: a second quantity; `ideal`: a stage that never ran out; `asked`: what the sheet asks for. */
export type TraceLook = 'volt' | 'amp' | 'second' | 'ideal' | 'generator' | 'asked' | 'measured' | 'faint';

export interface Trace {
  kind: 'trace';
  x: readonly number[];
  /** Same length as `x`; null is a gap, never joined. */
  y: readonly (number | null)[];
  look: TraceLook;
  label?: Line;
  part?: string;
}

/** 45° hatch: off. Cross-hatch: saturated. Dots: breakdown and reversed. */
export type Pattern = 'off' | 'saturated' | 'breakdown';

/** A stretch of the horizontal axis in which a device is not active. */
export interface Stretch {
  kind: 'stretch';
  from: number;
  to: number;
  /** Null: nothing is odd about it (the other half of a pair works); the bracket alone says so. */
  pattern: Pattern | null;
  /** First run is the short name ("Q1 off"). Empty where another stretch of the same part speaks for this one. */
  label: Line;
  /** Bracket above; without it the label alone. */
  bracket: boolean;
  part: string;
}

/** A distance in the vertical quantity, drawn as on a mechanical drawing: extension lines, a line with two arrows, the figure. */
export interface Dimension {
  kind: 'dimension';
  from: number;
  to: number;
  lines: readonly Line[];
  /** `lim` for the room that falls short. */
  tone: 'plain' | 'lim';
  /** Where along the horizontal axis; `right`: outside the plot, in its own lane. */
  at: number | 'right';
  /** Where the extension lines start, for a dimension at the right: data coordinates of the two ends. */
  extendFrom?: readonly [number, number];
  part?: string;
}

/** A horizontal level from `left` to `right`: a node's voltage (`node`) or a rail. */
export interface Level {
  kind: 'level';
  y: number;
  left: number;
  right: number;
  look: 'rail' | 'node';
  label: Line;
  /** Where the label goes. */
  side: 'above' | 'below' | 'end';
}

/** One line over the whole width or height. */
export interface Guide {
  kind: 'guide';
  along: 'x' | 'y';
  at: number;
  look: 'zero' | 'asked' | 'mark';
  label?: Line;
}

export interface Point {
  kind: 'point';
  x: number;
  y: number;
  look: 'ring' | 'disc' | 'triangle' | 'cross';
  label?: Line;
}

/** Bars or stems from the axis' lower end (or zero). */
export interface Bars {
  kind: 'bars';
  x: readonly number[];
  y: readonly (number | null)[];
  look: 'stem' | 'bar';
  labels?: readonly (Line | null)[];
}

export type Mark = Trace | Stretch | Dimension | Level | Guide | Point | Bars;

export interface Panel {
  /** Null where the horizontal has no quantity; marks then use 0 to 1. */
  x: Axis | null;
  y: Axis;
  /** Height of the plot in px at any width. */
  height: number;
  marks: readonly Mark[];
  /** Set false on all but the last of panels that share a horizontal axis. */
  showX: boolean;
}

export interface Scene {
  /** Stable key: `swing`, `waveform`. */
  name: string;
  /** What the figure shows, for those who do not see it. */
  title: string;
  description: string;
  /** Side by side where there is room for all, else under one another; panels of a column share their horizontal axis. */
  columns: readonly (readonly Panel[])[];
  /** Small print under the figure: what was left out, gaps. */
  notes: readonly string[];
}

/** Smallest and largest finite value, or null where there is none. */
export function extent(...series: readonly (readonly (number | null)[])[]): [number, number] | null {
  let low = Infinity;
  let high = -Infinity;
  for (const values of series) {
    for (const value of values) {
      if (value === null || !Number.isFinite(value)) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return low <= high ? [low, high] : null;
}

/** An extent with some width, so that a constant can be drawn: what has none gets `least` around it. */
export function widened([low, high]: readonly [number, number], least: number): [number, number] {
  return high - low >= least ? [low, high] : [(low + high - least) / 2, (low + high + least) / 2];
}
