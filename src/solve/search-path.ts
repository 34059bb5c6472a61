/**
 * The path of solutions of f(x) + mu e_i = 0, mu a current pushed into node i: followed by arc length (Keller, in
 * Applications of Bifurcation Theory, 1977) from a solution of the stage, where mu = 0. Each time mu passes through
 * zero again the stage has another solution, stable or not, as along the S-shaped characteristic of a latch.
 */
import { SingularMatrix } from '../numerics/sparse.ts';
import { junctionsOf, type StaticSolver } from './static.ts';

export interface PathLimits {
  /** A, the largest current that is pushed. */
  amperes: number;
  /** V, what that current counts as in the length of the path. */
  volts: number;
  /** Newton iterations that may be spent. */
  iterations: number;
}

/** Largest and first step, as shares of `volts`. */
const LARGEST_STEP = 0.1;
const FIRST_STEP = 1e-3;
const SMALLEST_STEP = 1e-9;
/** Cosine of the largest turn between two points of the path. */
const SHARPEST_TURN = 0.8;
const CORRECTIONS = 12;
const CORRECTED = 1e-9;

/** Follows the path from the solution x with the current into `node` first rising (`sense` 1) or falling (-1); calls `found` near each passage. */
export function followPush(
  solver: StaticSolver,
  x: Float64Array,
  node: number,
  sense: 1 | -1,
  limits: PathLimits,
  found: (near: Float64Array) => void,
): void {
  const { kernel, lu } = solver;
  const { n } = kernel;
  const nodes = kernel.network.nodes.length;
  const scale = limits.volts / limits.amperes;
  const until = solver.iterations + limits.iterations;
  const push = new Float64Array(n);
  push[node] = 1;
  const a = new Float64Array(n);
  const b = new Float64Array(n);
  const junctions = new Float64Array(kernel.junctionCount);
  // The current is measured as a voltage, u = scale mu, so that one length serves.
  let point: Float64Array = Float64Array.from(x);
  let u = 0;
  let direction: Float64Array = new Float64Array(n);
  let directionU: number = sense;
  const dot = (p: Float64Array, q: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < nodes; i++) sum += p[i] * q[i];
    return sum;
  };
  const factor = (): boolean => {
    try {
      lu.factor(kernel.g);
      return true;
    } catch (e) {
      if (e instanceof SingularMatrix) return false;
      throw e;
    }
  };
  const tangentAt = (at: Float64Array): { d: Float64Array; du: number } | null => {
    kernel.evaluate(at, null, false);
    if (!factor()) return null;
    const d = new Float64Array(n);
    lu.solve(push, d);
    for (let i = 0; i < n; i++) d[i] /= scale;
    const length = Math.sqrt(dot(d, d) + 1);
    const sign = dot(d, direction) + directionU >= 0 ? 1 : -1;
    for (let i = 0; i < n; i++) d[i] *= sign / length;
    return { d, du: sign / length };
  };
  const first = tangentAt(point);
  if (!first) return;
  direction = first.d;
  directionU = first.du;
  let ds = FIRST_STEP * limits.volts;
  while (solver.iterations < until && ds > SMALLEST_STEP * limits.volts) {
    const trial = Float64Array.from(point, (v, i) => v + ds * direction[i]);
    let t = u + ds * directionU;
    junctionsOf(kernel, point, junctions);
    let good = false;
    let count = 0;
    for (; count < CORRECTIONS && !good; count++) {
      solver.iterations++;
      const limited = kernel.evaluate(trial, junctions, false);
      if (!factor()) break;
      kernel.f[node] -= t / scale;
      lu.solve(kernel.f, a);
      lu.solve(push, b);
      let along = (t - u) * directionU - ds;
      for (let i = 0; i < nodes; i++) along += (trial[i] - point[i]) * direction[i];
      const dt = (dot(direction, a) - along) / (dot(direction, b) / scale + directionU);
      let worst = Math.abs(dt);
      for (let i = 0; i < n; i++) {
        const d = (dt / scale) * b[i] - a[i];
        trial[i] += d;
        if (i < nodes) worst = Math.max(worst, Math.abs(d));
      }
      t += dt;
      if (!Number.isFinite(worst)) break;
      good = !limited && worst < CORRECTED * limits.volts;
    }
    const next = good ? tangentAt(trial) : null;
    if (!next || dot(next.d, direction) + next.du * directionU < SHARPEST_TURN) {
      ds /= 4;
      continue;
    }
    if (u !== 0 && u > 0 !== t > 0) {
      const part = u / (u - t);
      found(Float64Array.from(point, (v, i) => v + part * (trial[i] - v)));
    }
    point = trial;
    u = t;
    direction = next.d;
    directionU = next.du;
    if (Math.abs(u) > limits.volts) return;
    if (count < 6) ds = Math.min(2 * ds, LARGEST_STEP * limits.volts);
  }
}
