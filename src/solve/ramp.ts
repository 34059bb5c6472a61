/**
 * The quiescent solution reached by raising all supplies, sources and the offset together from zero: continuation in
 * their common share, from the one state that is known, everything at rest. Where the path folds back it is followed by
 * arc length (Keller, in Applications of Bifurcation Theory, 1977), so nothing added stays in the result.
 */

import type { Kernel } from '../circuit/kernel.ts';
import { square } from '../numerics/elementary.ts';
import { loopedTransistors } from './loops.ts';
import { relax } from './relax.ts';
import { junctionsOf, type StaticSolver } from './static.ts';

/** First step of the share, and the largest: big steps are cheap but may hop onto another branch of a latching stage. */
const FIRST_STEP = 1 / 32;
const LARGEST_STEP = 1 / 8;
/**
 * Where transistors act back on each other there may be another branch to hop onto: a point that lies off the tangent of
 * the last one by more than this share of the largest source is tried again in half the step, down to `CAREFUL_STEP`.
 */
const STRAYED = 0.005;
const CAREFUL_STEP = 1 / 512;
/** Below this the path is taken to fold and is followed by arc length. */
const SMALLEST_STEP = 1e-5;
const NEWTON_MOST = 100;
const ARC_MOST = 600;
/** Cosine of the largest turn of the path between two of its points. */
const SHARPEST_TURN = 0.8;

export interface RampOutcome {
  converged: boolean;
  /** Share of the supplies that was reached. */
  share: number;
  steps: number;
  /** True where the path folded and was followed by arc length. */
  folded: boolean;
  /** True where the path was lost and the point was reached by relaxation instead. */
  relaxed: boolean;
}

/** Scales every source of the kernel's network to a share of its value. */
export function scaleSources(kernel: Kernel, share: number): void {
  kernel.network.branches.forEach((b, k) => {
    kernel.emf[k] = share * b.emf;
  });
  kernel.network.currents.forEach((c, k) => {
    kernel.amperes[k] = share * c.amperes;
  });
}

/** The derivative of -f by the share of the sources. */
function pushOf(kernel: Kernel): Float64Array {
  const push = new Float64Array(kernel.n);
  const { network } = kernel;
  network.branches.forEach((b, k) => {
    push[network.nodes.length + k] += b.emf;
  });
  for (const c of network.currents) {
    if (c.a >= 0) push[c.a] -= c.amperes;
    if (c.b >= 0) push[c.b] += c.amperes;
  }
  return push;
}

/** Raises the sources from zero; x (length n) receives the solution, the sources are left at their full values. */
export function ramp(solver: StaticSolver, x: Float64Array): RampOutcome {
  const { kernel } = solver;
  const n = kernel.n;
  const push = pushOf(kernel);
  const tangent = new Float64Array(n);
  const trial = new Float64Array(n);
  const junctions = new Float64Array(kernel.junctionCount);
  x.fill(0);
  let share = 0;
  let step = FIRST_STEP;
  let steps = 0;
  let known = false;
  const predicted = new Float64Array(n);
  const careful = loopedTransistors(kernel.network).length > 1;
  const volts = Math.max(0, ...kernel.network.branches.map((b) => Math.abs(b.emf)));
  /** Whether the point found lies off the tangent from the last one by more than a path that was kept would. */
  const strays = (found: Float64Array): boolean => {
    for (let i = 0; i < kernel.network.nodes.length; i++) if (Math.abs(found[i] - predicted[i]) > STRAYED * volts) return true;
    return false;
  };
  while (share < 1) {
    const next = Math.min(1, share + step);
    scaleSources(kernel, next);
    for (let i = 0; i < n; i++) trial[i] = x[i] + (known ? tangent[i] * (next - share) : 0);
    predicted.set(trial);
    junctionsOf(kernel, x, junctions);
    steps++;
    let outcome = solver.solve(trial, junctions, NEWTON_MOST);
    if (!outcome.converged) {
      trial.set(x);
      junctionsOf(kernel, x, junctions);
      outcome = solver.solve(trial, junctions, NEWTON_MOST);
    }
    if (outcome.converged && careful && next - share > CAREFUL_STEP && strays(trial)) {
      step = (next - share) / 2;
      continue;
    }
    if (outcome.converged) {
      x.set(trial);
      share = next;
      if (share < 1) {
        solver.tangent(push, tangent);
        known = true;
        step = Math.min(LARGEST_STEP, 2 * step);
      }
      continue;
    }
    step /= 4;
    if (step < SMALLEST_STEP) {
      const arc = followArc(solver, x, share, push);
      scaleSources(kernel, 1);
      if (arc.reached) {
        junctionsOf(kernel, x, junctions);
        if (solver.solve(x, junctions, 100).converged)
          return { converged: true, share: 1, steps: steps + arc.steps, folded: true, relaxed: false };
      }
      const relaxed = relax(solver, x);
      return { converged: relaxed, share: relaxed ? 1 : share, steps: steps + arc.steps, folded: true, relaxed };
    }
  }
  scaleSources(kernel, 1);
  return { converged: true, share: 1, steps, folded: false, relaxed: false };
}

/** Follows the path by arc length from (x, share) until the share first passes 1; x is then near that solution. */
function followArc(
  solver: StaticSolver,
  x: Float64Array,
  start: number,
  push: Float64Array,
): { reached: boolean; share: number; steps: number } {
  const { kernel } = solver;
  const n = kernel.n;
  const nodes = kernel.network.nodes.length;
  let share = start;
  const point = Float64Array.from(x);
  const direction = new Float64Array(n);
  let directionShare = 1;
  const a = new Float64Array(n);
  const b = new Float64Array(n);
  const trial = new Float64Array(n);
  const junctions = new Float64Array(kernel.junctionCount);
  let ds = 1e-3;
  // Volts and shares are measured on one scale: a share of 1 counts as the largest source voltage.
  const weight = square(Math.max(1, ...kernel.network.branches.map((e) => Math.abs(e.emf))));
  const dot = (p: Float64Array, q: Float64Array): number => {
    let s = 0;
    for (let i = 0; i < nodes; i++) s += p[i] * q[i];
    return s;
  };
  /** Tangent at `point`, continuing the old direction. */
  const turn = (): boolean => {
    scaleSources(kernel, share);
    kernel.evaluate(point, null, false);
    try {
      solver.lu.factor(kernel.g);
    } catch {
      return false;
    }
    solver.lu.solve(push, a);
    const norm = Math.sqrt(dot(a, a) + weight);
    const sign = dot(a, direction) + weight * directionShare >= 0 ? 1 : -1;
    for (let i = 0; i < n; i++) direction[i] = (sign * a[i]) / norm;
    directionShare = sign / norm;
    return true;
  };
  if (!turn()) return { reached: false, share, steps: 0 };
  for (let k = 1; k <= ARC_MOST; k++) {
    for (let i = 0; i < n; i++) trial[i] = point[i] + ds * direction[i];
    let s = share + ds * directionShare;
    junctionsOf(kernel, point, junctions);
    let good = false;
    let count = 0;
    for (; count < 12; count++) {
      scaleSources(kernel, s);
      const limited = kernel.evaluate(trial, junctions, false);
      try {
        solver.lu.factor(kernel.g);
      } catch {
        break;
      }
      solver.iterations++;
      solver.lu.solve(kernel.f, a);
      solver.lu.solve(push, b);
      let along = weight * (s - share) * directionShare - ds;
      for (let i = 0; i < nodes; i++) along += (trial[i] - point[i]) * direction[i];
      const ds2 = (-along + dot(direction, a)) / (dot(direction, b) + weight * directionShare);
      if (!Number.isFinite(ds2)) break;
      let worst = Math.abs(ds2);
      for (let i = 0; i < n; i++) {
        const d = -a[i] + ds2 * b[i];
        trial[i] += d;
        worst = Math.max(worst, Math.abs(d) / (1 + Math.abs(trial[i])));
      }
      s += ds2;
      if (!limited && worst < 1e-9) {
        good = true;
        break;
      }
    }
    if (!good) {
      ds /= 4;
      if (ds < 1e-9) return { reached: false, share, steps: k };
      continue;
    }
    const before = share;
    const last = Float64Array.from(point);
    const lastDirection = Float64Array.from(direction);
    const lastShare = directionShare;
    point.set(trial);
    share = s;
    if (before < 1 && share >= 1) {
      const part = (1 - before) / (share - before);
      for (let i = 0; i < n; i++) x[i] = last[i] + part * (point[i] - last[i]);
      return { reached: true, share, steps: k };
    }
    if (!turn()) return { reached: false, share, steps: k };
    if (dot(direction, lastDirection) + weight * directionShare * lastShare < SHARPEST_TURN && ds > 1e-7) {
      // Too sharp a turn for one step: it may have left the path.
      point.set(last);
      share = before;
      direction.set(lastDirection);
      directionShare = lastShare;
      ds /= 4;
      continue;
    }
    if (count < 5) ds = Math.min(ds * 2, 0.25 * Math.sqrt(weight));
  }
  return { reached: false, share, steps: ARC_MOST };
}
