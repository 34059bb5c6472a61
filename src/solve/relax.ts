/**
 * Last resort for a quiescent point: relaxation in an artificial time, as if every node had a little capacitance
 * (Kelley and Keyes, SIAM J. Numer. Anal. 35, 1998, Convergence analysis of pseudo-transient continuation). The steps
 * grow as the currents come into balance, and Newton's method on the untouched equations has the last word.
 */
import { positionIn } from '../numerics/sparse.ts';
import { residualRatio } from './residual.ts';
import { junctionsOf, type StaticSolver } from './static.ts';

const MOST_STEPS = 3000;
/** S: artificial capacitance over time step, at first, and the range in which it moves. */
const FIRST = 1e-2;
const LARGEST = 1e2;
const SMALLEST = 1e-16;
/** The time step grows by this factor a step while nothing is limited, and shrinks where something is. */
const GROWTH = 1.6;
/** V: a step with a larger move was too long, one with a smaller move may be longer. */
const HASTY = 0.2;
const CALM = 0.05;
/** Newton alone is tried every so many steps. */
const TRY_EVERY = 40;

/** Relaxes from x, then from nothing, at the sources the kernel has. True where x is a solution of the untouched equations. */
export function relax(solver: StaticSolver, x: Float64Array): boolean {
  if (relaxFrom(solver, x, 1)) return true;
  // From nothing, then from nothing again in shorter steps, which keep to another path.
  return [1, 0.2, 0.05].some((haste) => {
    x.fill(0);
    return relaxFrom(solver, x, haste);
  });
}

function relaxFrom(solver: StaticSolver, x: Float64Array, haste: number): boolean {
  const { kernel, lu } = solver;
  const n = kernel.n;
  const nodes = kernel.network.nodes.length;
  const values = new Float64Array(kernel.g.length);
  const step = new Float64Array(n);
  const diagonal = Int32Array.from({ length: nodes }, (_, i) => positionIn(kernel.pattern, i, i));
  const junctions = junctionsOf(kernel, x);
  let pull = FIRST;
  for (let k = 1; k <= MOST_STEPS; k++) {
    solver.iterations++;
    const limited = kernel.evaluate(x, junctions, false);
    values.set(kernel.g);
    for (let i = 0; i < nodes; i++) values[diagonal[i]] += pull;
    try {
      lu.factor(values);
    } catch {
      pull = Math.min(LARGEST, pull * 10);
      continue;
    }
    lu.solve(kernel.f, step);
    let largest = 0;
    for (let i = 0; i < nodes; i++) largest = Math.max(largest, Math.abs(step[i]));
    if (!Number.isFinite(largest)) return false;
    for (let i = 0; i < n; i++) x[i] -= step[i];
    if (limited || largest > haste * HASTY) pull = Math.min(LARGEST, pull * GROWTH);
    else if (largest < haste * CALM) pull = Math.max(SMALLEST, pull / GROWTH);
    if (k % TRY_EVERY !== 0 && pull > SMALLEST) continue;
    const trial = Float64Array.from(x);
    if (solver.solve(trial, junctionsOf(kernel, trial)).converged) {
      x.set(trial);
      return true;
    }
    kernel.evaluate(x, null, false);
    if (residualRatio(kernel, x) <= 0.5 && solver.sensible(x)) return true;
  }
  return false;
}
