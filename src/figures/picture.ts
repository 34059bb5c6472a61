/** A figure set out in pixels: shapes that SVG and canvas both draw, in painting order. */
import type { Run, Tone } from './scene.ts';

export type Dot = readonly [x: number, y: number];

export interface Stroke {
  tone: Tone;
  width: number;
  dash?: readonly number[];
  /** Round ends and joins (traces). */
  round?: boolean;
}

/** Open lines, several in one. */
export interface LinesShape {
  kind: 'lines';
  paths: readonly (readonly Dot[])[];
  stroke: Stroke;
  part?: string;
}
export interface AreaShape {
  kind: 'area';
  points: readonly Dot[];
  fill: Tone;
  stroke?: Stroke;
  part?: string;
}
export interface DiscsShape {
  kind: 'discs';
  centres: readonly Dot[];
  radius: number;
  fill: Tone;
  stroke?: Stroke;
}
export interface TextShape {
  kind: 'text';
  x: number;
  /** Baseline. */
  y: number;
  anchor: 'start' | 'middle' | 'end';
  size: number;
  runs: readonly Run[];
  /** Colour of runs without one of their own. */
  tone: Tone;
  /** A border of paper round the letters, for text that a line passes behind. */
  halo: boolean;
  part?: string;
}
export type Shape = LinesShape | AreaShape | DiscsShape | TextShape;

export interface Picture {
  width: number;
  height: number;
  shapes: readonly Shape[];
}
