/** A run in time from given charges: Radau steps whose length follows the error of the cubics between their stages. */

import type { Kernel } from '../circuit/kernel.ts';
import { square } from '../numerics/elementary.ts';
import { companionOf } from './companion.ts';
import { marchStep } from './march.ts';
import type { Orbit } from './orbit.ts';
import { NODES, STAGES, StageBlock } from './radau.ts';
import { ramp, scaleSources } from './ramp.ts';
import { junctionsOf, StaticSolver } from './static.ts';

export interface RunDrive {
  /** Electromotive force of the generator at t seconds. */
  emf: (t: number) => number;
  /** Instants at which its slope jumps, rising. */
  corners: number[];
}

/** Error allowed between the stages, as a share of what each node has swept so far (at least 1 mV). */
const TOLERANCE = 2e-5;
const SCALE_FLOOR = 1e-3;
const CUBIC_ERROR = 0.0181 / 24;
const MOST_STEPS = 400_000;
/** First step as a share of the run, and after a corner as a share of the way to the next. */
const FIRST = 1e-9;
const AFTER_CORNER = 0.01;
const SHORTEST = 1e-15;
const LONGEST = 1 / 50;

export class RunFailed extends Error {
  readonly time: number;
  constructor(time: number) {
    super('the run in time did not converge');
    this.name = 'RunFailed';
    this.time = time;
  }
}

/** State just after everything is switched on at t = 0, discharged before: charges move at once where nothing limits them. */
export function switchedOn(kernel: Kernel, emf: number, instant: number): Float64Array {
  const x = new Float64Array(kernel.n);
  const none = new Float64Array(kernel.n);
  const generator = kernel.network.branches[kernel.network.generator];
  const offset = generator?.emf;
  if (generator) generator.emf = emf;
  const companion = companionOf(kernel, none, instant);
  const solver = new StaticSolver(companion);
  scaleSources(companion, 1);
  const direct = solver.solve(x, junctionsOf(kernel, x), 200).converged;
  const converged = direct || ramp(solver, x).converged;
  if (generator) generator.emf = offset as number;
  scaleSources(kernel, 1);
  if (!converged) throw new RunFailed(0);
  return x;
}

/** Runs from unknowns `start` over `duration` seconds. Throws {@link RunFailed} with the time reached. */
export function runFrom(kernel: Kernel, start: Float64Array, drive: RunDrive, duration: number, progress?: (share: number) => void): Orbit {
  const n = kernel.n;
  const nodes = kernel.network.nodes.length;
  const width = STAGES * n;
  const block = new StageBlock(kernel);
  const mesh: number[] = [0];
  const corner: boolean[] = [];
  let x = new Float64Array(256 * width);
  const low = Float64Array.from(start.subarray(0, nodes));
  const high = Float64Array.from(low);
  const third = new Float64Array(nodes);
  const thirdBefore = new Float64Array(nodes);
  kernel.evaluate(start, null, true);
  const charge = Float64Array.from(kernel.q);
  const ends = [...drive.corners.filter((t) => t > 0 && t < duration), duration];
  let next = 0;
  let t = 0;
  let h = duration * FIRST;
  let hBefore = 0;
  let fresh = true;
  let steps = 0;
  while (next < ends.length) {
    if (steps >= MOST_STEPS) throw new RunFailed(t);
    const left = ends[next] - t;
    const toEnd = h >= left * 0.999;
    const step = toEnd ? left : Math.min(h, left / 2);
    if ((steps + 1) * width > x.length) {
      const larger = new Float64Array(2 * x.length);
      larger.set(x);
      x = larger;
    }
    const at = steps * width;
    const from = steps === 0 ? start : x.subarray(at - n, at);
    for (let k = 0; k < STAGES; k++) x.set(from, at + k * n);
    const emfs = NODES.map((c) => drive.emf(t + c * step));
    if (!marchStep(kernel, block, x, at, step, charge, emfs)) {
      h = step / 4;
      if (h < duration * SHORTEST) throw new RunFailed(t);
      continue;
    }
    let error = 0;
    const distance = 0.5 * (step + hBefore);
    for (let i = 0; i < nodes; i++) {
      third[i] = thirdDerivative(from[i], x[at + i], x[at + n + i], x[at + 2 * n + i], step);
      const end = x[at + 2 * n + i];
      const scale = Math.max(SCALE_FLOOR, high[i] - low[i], Math.abs(end - low[i]), Math.abs(end - high[i]));
      const e = (CUBIC_ERROR * Math.abs(third[i] - thirdBefore[i]) * square(square(step))) / (distance * scale);
      if (e > error) error = e;
    }
    const factor = fresh ? 2 : 0.9 * Math.sqrt(Math.sqrt(TOLERANCE / Math.max(error, 1e-12)));
    if (!fresh && error > TOLERANCE && step > duration * SHORTEST * 10) {
      h = step * Math.max(0.2, factor);
      continue;
    }
    for (let i = 0; i < nodes; i++) {
      for (let k = 0; k < STAGES; k++) {
        const v = x[at + k * n + i];
        if (v < low[i]) low[i] = v;
        if (v > high[i]) high[i] = v;
      }
    }
    charge.set(block.endCharge);
    thirdBefore.set(third);
    hBefore = step;
    corner.push(fresh);
    fresh = false;
    steps++;
    t = toEnd ? ends[next] : t + step;
    mesh.push(t);
    h = Math.min(step * Math.min(3, factor), duration * LONGEST);
    if (toEnd) {
      next++;
      fresh = true;
      if (next < ends.length) h = Math.min(h, (ends[next] - t) * AFTER_CORNER);
      progress?.(t / duration);
    }
  }
  return { mesh: Float64Array.from(mesh), x: x.slice(0, steps * width), n, corner, start };
}

/** Third derivative of the cubic through the start and the three stages of a step of length h. */
function thirdDerivative(y0: number, y1: number, y2: number, y3: number, h: number): number {
  const [a, b] = NODES;
  const d01 = (y1 - y0) / a;
  const d12 = (y2 - y1) / (b - a);
  const d23 = (y3 - y2) / (1 - b);
  return (6 * ((d23 - d12) / (1 - a) - (d12 - d01) / b)) / (h * h * h);
}
