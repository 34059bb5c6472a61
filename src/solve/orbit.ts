/** One period of a settled waveform as data: mesh, stage values, and the polynomials between them. */
import { NODES, STAGES } from './radau.ts';

export interface Orbit {
  /** Mesh, s: steps + 1 instants from 0 to the period. */
  mesh: Float64Array;
  /** Unknowns at the stages: steps x 3 x n. The last stage of a step is its end. */
  x: Float64Array;
  n: number;
  /** True where a step begins at a corner of the drive, so that slopes jump there. */
  corner: boolean[];
  /** Where the run is not periodic: unknowns at its start. */
  start?: Float64Array;
}

export const stepsOf = (orbit: Orbit): number => orbit.mesh.length - 1;

/** Step that holds instant t (0 <= t <= period). */
export function stepAt(orbit: Orbit, t: number): number {
  let low = 0;
  let high = stepsOf(orbit) - 1;
  while (low < high) {
    const mid = (low + high + 1) >> 1;
    if (orbit.mesh[mid] <= t) low = mid;
    else high = mid - 1;
  }
  return low;
}

/** Value of unknown i at the start of step s: the end of the step before, around the period (of a run from rest: its start). */
export function startValue(orbit: Orbit, s: number, i: number): number {
  if (s === 0 && orbit.start) return orbit.start[i];
  const before = s === 0 ? stepsOf(orbit) - 1 : s - 1;
  return orbit.x[(before * STAGES + STAGES - 1) * orbit.n + i];
}

/** Lagrange weights at share c of a step: for its start and its three stages. */
export function cubicWeights(c: number): [number, number, number, number] {
  const [a, b] = NODES;
  const w0 = ((c - a) * (c - b) * (c - 1)) / (-a * -b * -1);
  const w1 = (c * (c - b) * (c - 1)) / (a * (a - b) * (a - 1));
  const w2 = (c * (c - a) * (c - 1)) / (b * (b - a) * (b - 1));
  return [w0, w1, w2, 1 - w0 - w1 - w2];
}

/** Weights of the parabola through the three stages alone, for what may jump at the start of a step. */
export function parabolaWeights(c: number): [number, number, number, number] {
  const [a, b] = NODES;
  const w1 = ((c - b) * (c - 1)) / ((a - b) * (a - 1));
  const w2 = ((c - a) * (c - 1)) / ((b - a) * (b - 1));
  return [0, w1, w2, 1 - w1 - w2];
}

/** All unknowns at share c of step s, into `out` (n). Branch currents (from `nodes` on) may jump at corners of the drive. */
export function evaluateOrbit(orbit: Orbit, s: number, c: number, nodes: number, out: Float64Array): void {
  const { n, x } = orbit;
  const cubic = cubicWeights(c);
  const jump = orbit.corner[s] ? parabolaWeights(c) : cubic;
  const at = s * STAGES * n;
  for (let i = 0; i < n; i++) {
    const w = i < nodes ? cubic : jump;
    out[i] = w[1] * x[at + i] + w[2] * x[at + n + i] + w[3] * x[at + 2 * n + i] + (w[0] === 0 ? 0 : w[0] * startValue(orbit, s, i));
  }
}

/** All unknowns at instant t, into `out`. */
export function orbitAt(orbit: Orbit, t: number, nodes: number, out: Float64Array): void {
  const s = stepAt(orbit, t);
  const h = orbit.mesh[s + 1] - orbit.mesh[s];
  evaluateOrbit(orbit, s, (t - orbit.mesh[s]) / h, nodes, out);
}

/** Weights of the cubic's derivative by the share c of a step, for its start and its three stages. */
export function slopeWeights(c: number): [number, number, number, number] {
  const [a, b] = NODES;
  const w0 = ((c - b) * (c - 1) + (c - a) * (c - 1) + (c - a) * (c - b)) / (-a * -b * -1);
  const w1 = ((c - b) * (c - 1) + c * (c - 1) + c * (c - b)) / (a * (a - b) * (a - 1));
  const w2 = ((c - a) * (c - 1) + c * (c - 1) + c * (c - a)) / (b * (b - a) * (b - 1));
  return [w0, w1, w2, -w0 - w1 - w2];
}
