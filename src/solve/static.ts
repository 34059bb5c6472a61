/**
 * Newton's method for the static equations f(x) = 0, junction voltages limited (the classic remedy for exponentials).
 * The solver object holds only scratch memory: everything it knows of a solution is in the arrays the caller passes.
 */
import type { Kernel } from '../circuit/kernel.ts';
import { positionIn, SingularMatrix, SparseLU } from '../numerics/sparse.ts';
import { Hull } from './hull.ts';
import { residualRatio } from './residual.ts';

/** When Newton's method has done enough. */
export interface StaticAccuracy {
  /** No unknown moves by more than this share of itself (or of `STEP_FLOOR`). */
  step: number;
  /** Iterations after that: they square the error, down to rounding. */
  polish: number;
}
/** For points that are reported: down to rounding. */
export const THOROUGH: StaticAccuracy = { step: 1e-10, polish: 2 };
/** For the many points of a curve: the step after one of 1e-7 is one of 1e-14. */
export const BRISK: StaticAccuracy = { step: 1e-7, polish: 0 };
/** V or A: steps below are rounding, whatever the size of the unknown. */
const STEP_FLOOR = 1e-3;
/** No node moves by more than this in one iteration, V: a node that hangs on closed junctions alone would fly off. */
const LARGEST_STEP = 2e3;

/** S: in the iteration matrix only, where it would be singular. */
const TRACE = 1e-12;
/** Residual, over what is allowed, that a solution must reach whose steps are still creeping. */
const CREEPING = 0.5;

export interface StaticOutcome {
  converged: boolean;
  iterations: number;
  /** Largest current residual of a node, as a multiple of what `physics.md` allows; above 1 is no solution. */
  residual: number;
}

export class StaticSolver {
  readonly kernel: Kernel;
  readonly lu: SparseLU;
  /** Newton iterations so far: a count of work that does not depend on the machine. */
  iterations = 0;
  private readonly step: Float64Array;
  private readonly hull: Hull;
  private readonly start: Float64Array;
  private readonly startJunctions: Float64Array;

  constructor(kernel: Kernel, lu = new SparseLU(kernel.pattern)) {
    this.kernel = kernel;
    this.lu = lu;
    this.step = new Float64Array(kernel.n);
    this.hull = new Hull(kernel);
    this.start = new Float64Array(kernel.n);
    this.startJunctions = new Float64Array(kernel.junctionCount);
  }

  /**
   * Solves f(x) = 0 from the x given, in place. `junctions` is the memory of the limiting (from {@link junctionsOf}).
   * Leaves the Jacobian of the solution factored. Where plain steps end nowhere, or beyond what the sources can
   * explain, it starts again with the nodes kept between the sources.
   */
  solve(x: Float64Array, junctions: Float64Array, most = 100, accuracy: StaticAccuracy = THOROUGH): StaticOutcome {
    this.start.set(x);
    this.startJunctions.set(junctions);
    const outcome = this.iterate(x, junctions, most, accuracy, false);
    if (outcome.converged) return outcome;
    x.set(this.start);
    junctions.set(this.startJunctions);
    return this.iterate(x, junctions, most, accuracy, true);
  }

  private iterate(x: Float64Array, junctions: Float64Array, most: number, accuracy: StaticAccuracy, kept: boolean): StaticOutcome {
    const { kernel, lu, step } = this;
    const n = kernel.n;
    const nodes = kernel.network.nodes.length;
    let polish = 0;
    let smallest = Number.POSITIVE_INFINITY;
    let iterations = 0;
    this.hull.read();
    while (iterations < most) {
      iterations++;
      this.iterations++;
      const limited = kernel.evaluate(x, junctions, false);
      if (!this.factor()) return { converged: false, iterations, residual: Number.POSITIVE_INFINITY };
      lu.solve(kernel.f, step);
      let worst = 0;
      for (let i = 0; i < n; i++) {
        let d = step[i];
        // The currents of sources follow from the rest in one step, however far it is.
        if (i < nodes && Math.abs(d) > LARGEST_STEP) d = d > 0 ? LARGEST_STEP : -LARGEST_STEP;
        x[i] -= d;
        const size = Math.abs(d) / (Math.abs(x[i]) + STEP_FLOOR);
        if (!(size <= worst)) worst = size;
      }
      if (Number.isNaN(worst)) return { converged: false, iterations, residual: Number.POSITIVE_INFINITY };
      if ((kept && this.hull.keep(x)) || limited) continue;
      if (worst < accuracy.step || (polish > 0 && worst >= smallest)) polish++;
      smallest = Math.min(smallest, worst);
      if (polish > accuracy.polish) break;
    }
    // A node that hangs on closed junctions alone creeps by kT/q an iteration long after its currents are in balance:
    // what decides is Kirchhoff's law, with a margin where the steps have not died out.
    kernel.evaluate(x, null, false);
    const residual = residualRatio(kernel, x);
    return { converged: residual <= (polish > 0 ? 1 : CREEPING) && this.sensible(x), iterations, residual };
  }

  /**
   * Factors the Jacobian last evaluated. Where closed junctions alone hold a node, rounding can make it singular: then
   * the step is taken with a trace of conductance at every node. The equations solved are not touched by it.
   */
  private factor(): boolean {
    const { kernel, lu } = this;
    if (factored(lu, kernel.g)) return true;
    const padded = Float64Array.from(kernel.g);
    for (let i = 0; i < kernel.network.nodes.length; i++) padded[positionIn(kernel.pattern, i, i)] += TRACE;
    return factored(lu, padded);
  }

  /** Whether x is a point that the sources and the device equations can explain, apart from Kirchhoff's law. */
  sensible(x: Float64Array): boolean {
    this.hull.read();
    return this.hull.holds(x) && this.kernel.withinModel(x);
  }

  /** Solves J y = b with the Jacobian last factored. */
  tangent(b: Float64Array, y: Float64Array): void {
    this.lu.solve(b, y);
  }
}

function factored(lu: SparseLU, values: Float64Array): boolean {
  try {
    lu.factor(values);
    return true;
  } catch (e) {
    if (e instanceof SingularMatrix) return false;
    throw e;
  }
}

/** Junction memory for a start at x: the voltages that x itself has there. */
export function junctionsOf(kernel: Kernel, x: Float64Array, into: Float64Array = new Float64Array(kernel.junctionCount)): Float64Array {
  const { transistors, diodes } = kernel.network;
  const v = (i: number): number => (i < 0 ? 0 : x[i]);
  transistors.forEach((t, k) => {
    into[2 * k] = t.sign * (v(t.base) - v(t.emitter));
    into[2 * k + 1] = t.sign * (v(t.base) - v(t.collector));
  });
  diodes.forEach((d, k) => {
    into[2 * transistors.length + k] = v(d.anode) - v(d.cathode);
  });
  return into;
}
