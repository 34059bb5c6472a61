/**
 * Further resting points of a stage, at the junction temperatures of the one found: from states in which its transistors
 * are forced on and off, and along the paths that a current pushed into one base after the other takes from each point
 * known. No search finds all for certain; what was tried is told with the answer.
 */
import type { Kernel } from '../circuit/kernel.ts';
import { positionIn, SingularMatrix } from '../numerics/sparse.ts';
import { heldNodes, loopedTransistors } from './loops.ts';
import { residualRatio } from './residual.ts';
import { followPush } from './search-path.ts';
import { growingPole } from './stability.ts';
import type { Stage } from './stage.ts';
import { junctionsOf, type StaticSolver } from './static.ts';

export interface RestingPoint {
  /** Unknowns of the solution. */
  x: Float64Array;
  /** No pole in the right half-plane. */
  stable: boolean;
}
export interface SearchOutcome {
  /** Starts that were tried: forced states and paths. 0 where no transistors act back on each other, so there is nothing to search. */
  starts: number;
  /** Solutions other than the stage's own, in the order found. */
  others: RestingPoint[];
}

/** Up to this many transistors on loops, every combination of on and off is a start; beyond it a sample is. */
const MOST_FOR_ALL = 5;
const SAMPLE = 32;
/**
 * Newton iterations the search may spend, times the unknowns of the stage: about 50 ms with six transistors. A count of
 * work rather than a time, so that every machine finds the same.
 */
const WORK = 36e3;
/** Of these one path may take this share at most. */
const PATH_SHARE = 0.1;
/** V: solutions nearer than this at every node are the same, or this share of the sources. */
const SAME = 1e-6;
/** S: holds a transistor off (base to emitter) or on (collector to emitter) at the start. */
const FORCE = 1;
const FORCED_ITERATIONS = 60;
const NEWTON_ITERATIONS = 100;
/** A, V: least sizes of the current pushed and of what it counts as. */
const LEAST_PUSH = 1e-3;
const LEAST_VOLTS = 1;

/** Searches for resting points other than `stage.x`; leaves the stage as it was. */
export function searchFurther(stage: Stage): SearchOutcome {
  const { kernel, network, solver } = stage;
  const looped = loopedTransistors(network);
  if (looped.length < 2) return { starts: 0, others: [] };
  const until = solver.iterations + WORK / kernel.n;
  const nodes = network.nodes.length;
  const known: Float64Array[] = [stage.x];
  const volts = network.branches.reduce((sum, b) => Math.max(sum, Math.abs(b.emf)), LEAST_VOLTS);
  const add = (near: Float64Array): void => {
    const x = Float64Array.from(near);
    if (!solver.solve(x, junctionsOf(kernel, x), NEWTON_ITERATIONS).converged) return;
    const same = (y: Float64Array): boolean => {
      let near = true;
      for (let i = 0; i < nodes && near; i++) near = Math.abs(x[i] - y[i]) <= SAME * volts;
      if (near) return true;
      // A node that only currents below the floor hold may stand anywhere: then the point half way is as good as both.
      const middle = x.map((v, i) => (v + y[i]) / 2);
      kernel.evaluate(middle, null, false);
      return residualRatio(kernel, middle) <= 1;
    };
    if (!known.some(same)) known.push(x);
  };
  let starts = 0;
  // Half of the work at most goes into forced starts, so that paths are followed from what they find.
  const half = (solver.iterations + until) / 2;
  for (const on of combinations(looped.length)) {
    if (solver.iterations >= half) break;
    starts++;
    const forced = forcedStart(solver, looped, on);
    if (forced) add(forced);
  }
  const limits = { amperes: pushOf(kernel, stage.x, volts), volts, iterations: (PATH_SHARE * WORK) / kernel.n };
  const held = heldNodes(network);
  const bases = [...new Set(looped.map((k) => network.transistors[k].base))].filter((i) => i >= 0 && !held.has(i));
  // `known` grows while the paths are followed.
  for (let from = 0; from < known.length; from++) {
    for (const base of bases) {
      for (const sense of [1, -1] as const) {
        if (solver.iterations >= until) break;
        starts++;
        const passages: Float64Array[] = [];
        followPush(solver, known[from], base, sense, limits, (near) => passages.push(near));
        for (const near of passages) add(near);
      }
    }
  }
  return { starts, others: known.slice(1).map((x) => ({ x, stable: growingPole(kernel, x) === null })) };
}

/** Which of `count` transistors are on: all combinations, or a sample that is the same every time. */
function combinations(count: number): boolean[][] {
  const bits = (word: number): boolean[] => Array.from({ length: count }, (_, k) => ((word >>> (k % 32)) & 1) === 1);
  if (count <= MOST_FOR_ALL) return Array.from({ length: 1 << count }, (_, word) => bits(word));
  // Multiples of the golden ratio's share of 2^32 fall evenly (Weyl's sequence; Knuth, The Art of Computer Programming 3, 6.4).
  return Array.from({ length: SAMPLE }, (_, k) => bits(Math.imul(k + 1, 0x9e3779b1)));
}

/** The state with the transistors `looped` held on or off by conductances, which are then gone; null where there is none. */
function forcedStart(solver: StaticSolver, looped: number[], on: boolean[]): Float64Array | null {
  const { kernel, lu } = solver;
  const { network, pattern } = kernel;
  const pairs = looped.map((k, place) => {
    const t = network.transistors[k];
    return on[place] ? [t.collector, t.emitter] : [t.base, t.emitter];
  });
  const x = new Float64Array(kernel.n);
  const step = new Float64Array(kernel.n);
  const junctions = junctionsOf(kernel, x);
  const conduct = (i: number, j: number): void => {
    if (i < 0) return;
    kernel.g[positionIn(pattern, i, i)] += FORCE;
    if (j >= 0) kernel.g[positionIn(pattern, i, j)] -= FORCE;
    kernel.f[i] += FORCE * (x[i] - (j < 0 ? 0 : x[j]));
  };
  for (let count = 0; count < FORCED_ITERATIONS; count++) {
    solver.iterations++;
    const limited = kernel.evaluate(x, junctions, false);
    for (const [i, j] of pairs) {
      if (i === j) continue;
      conduct(i, j);
      conduct(j, i);
    }
    try {
      lu.factor(kernel.g);
    } catch (e) {
      if (e instanceof SingularMatrix) return null;
      throw e;
    }
    lu.solve(kernel.f, step);
    let worst = 0;
    for (let i = 0; i < kernel.n; i++) {
      x[i] -= step[i];
      worst = Math.max(worst, Math.abs(step[i]));
    }
    if (!Number.isFinite(worst)) return null;
    // A start need not be exact.
    if (!limited && worst < 1e-3) break;
  }
  return x;
}

/** A: enough to push any base over: what the sources send now, or what a resistor at one would take of them. */
function pushOf(kernel: Kernel, x: Float64Array, volts: number): number {
  const { network } = kernel;
  let most = LEAST_PUSH;
  for (let k = 0; k < network.branches.length; k++) most = Math.max(most, Math.abs(x[network.nodes.length + k]));
  for (const t of network.transistors)
    for (const e of network.resistors)
      if (e.inner === undefined && [e.a, e.b].some((i) => i >= 0 && i === t.base)) most = Math.max(most, volts / e.resistance);
  return most;
}
