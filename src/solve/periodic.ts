/**
 * The settled waveform itself: the T-periodic solution by collocation at Radau points on a mesh that follows it. All
 * stages are unknowns of one Newton iteration; a step passes only charges on, so the period closes in the few state
 * coordinates (condensation), and the closing matrix is the monodromy matrix, whose eigenvalues are the multipliers.
 * From nothing known, the same equations are marched step by step and closed by shooting.
 */

import type { Kernel } from '../circuit/kernel.ts';
import { solveDense } from '../numerics/dense.ts';
import { eigenvalues } from '../numerics/eigenvalues.ts';
import { hypot } from '../numerics/elementary.ts';
import { StateColumns } from './columns.ts';
import { factored, marchStep } from './march.ts';
import { evenMesh, meshErrors, refinedMesh } from './mesh.ts';
import { type Orbit, orbitAt, startValue, stepsOf } from './orbit.ts';
import { spread } from './poles.ts';
import { NODES, STAGES, StageBlock } from './radau.ts';
import { type StateSpace, stateSpace } from './states.ts';
import { junctionsOf } from './static.ts';

/** What drives the period: electromotive force of the generator at phase p (periods). */
export interface PeriodicDrive {
  period: number;
  emf: (phase: number) => number;
  corners: number[];
}

export interface PeriodicOptions {
  /** Error allowed between mesh points, as a share of each node's scale. */
  tolerance: number;
  /** Most steps of the mesh. */
  most: number;
  /** Steps of the first mesh. */
  first?: number;
  /** Share of a node's scale below which Newton's steps count as done. */
  done?: number;
}
export const ACCURATE: PeriodicOptions = { tolerance: 4e-6, most: 2400 };

export interface PeriodicOutcome {
  orbit: Orbit;
  /** Multipliers of the period: re, im, largest in magnitude first. */
  multipliers: { re: number; im: number; size: number }[];
  /** Largest estimated error between mesh points, as a share of each node's scale. */
  error: number;
  /** Newton iterations over the whole period, and rounds of shooting before. */
  iterations: number;
  shots: number;
}

export class NotSettled extends Error {
  readonly shots: number;
  constructor(shots: number) {
    super('the periodic solution was not found');
    this.name = 'NotSettled';
    this.shots = shots;
  }
}

/** V: no node moves by more in one closing of the period; gross overdrive diverges without. */
const LARGEST_MOVE = 1;
const FIRST_STEPS = 60;
const REFINEMENTS = 7;
/** Share of a node's scale below which Newton's steps count as done. */
const DONE = 1e-8;
/** V: scale of a node that hardly moves (`physics.md`: 1 mV). */
const SCALE_FLOOR = 1e-3;

export class PeriodicSolver {
  readonly kernel: Kernel;
  readonly space: StateSpace;
  private readonly block: StageBlock;
  private drive: PeriodicDrive;
  private monodromy = new Float64Array(0);
  iterations = 0;

  constructor(kernel: Kernel, drive: PeriodicDrive) {
    this.kernel = kernel;
    this.drive = drive;
    this.block = new StageBlock(kernel);
    this.space = stateSpace(kernel);
  }

  setDrive(drive: PeriodicDrive): void {
    this.drive = drive;
  }

  /** Solves from a quiescent state (unknowns x). Throws {@link NotSettled}. */
  solve(x: Float64Array, options: PeriodicOptions = ACCURATE): PeriodicOutcome {
    let shots = 0;
    const first = options.first ?? FIRST_STEPS;
    for (const steps of [first, 4 * FIRST_STEPS, 16 * FIRST_STEPS]) {
      const { mesh, corner } = evenMesh(this.drive.period, this.drive.corners, steps);
      const orbit: Orbit = { mesh, corner, n: this.kernel.n, x: new Float64Array((mesh.length - 1) * STAGES * this.kernel.n) };
      const start = this.chargesAt(x);
      const shot = this.shoot(orbit, x, start);
      shots += shot.rounds;
      if (!shot.closed) continue;
      const refined = this.refine(orbit, options);
      if (refined) return { ...refined, shots };
    }
    throw new NotSettled(shots);
  }

  /** Solves again from a known orbit nearby (same network); null where Newton does not get there. */
  resume(known: Orbit, options: PeriodicOptions = ACCURATE): PeriodicOutcome | null {
    const orbit: Orbit = { ...known, x: Float64Array.from(known.x) };
    const refined = this.refine(orbit, options);
    return refined && { ...refined, shots: 0 };
  }

  /** Newton on the mesh given, then on meshes that follow the solution, until the error between mesh points is small. */
  private refine(first: Orbit, options: PeriodicOptions): Omit<PeriodicOutcome, 'shots'> | null {
    let orbit = first;
    const before = this.iterations;
    if (!this.newton(orbit, options.done)) return null;
    let errors = meshErrors(orbit, this.scales(orbit));
    for (let round = 0; round < REFINEMENTS && largest(errors) > options.tolerance; round++) {
      const next = this.transferred(orbit, refinedMesh(orbit, errors, this.drive.corners, options.tolerance, options.most));
      if (!this.newton(next, options.done)) break;
      orbit = next;
      errors = meshErrors(orbit, this.scales(orbit));
    }
    const values = eigenvalues(Float64Array.from(this.monodromy), this.space.rows.length);
    if (!values) return null;
    const multipliers = values.re.map((re, k) => ({ re, im: values.im[k], size: hypot(re, values.im[k]) })).sort((a, b) => b.size - a.size);
    return { orbit, multipliers, error: largest(errors), iterations: this.iterations - before };
  }

  /** The same orbit's values at the stages of another mesh. */
  private transferred(orbit: Orbit, to: { mesh: Float64Array; corner: boolean[] }): Orbit {
    const { n } = this.kernel;
    const steps = to.mesh.length - 1;
    const next: Orbit = { ...to, n, x: new Float64Array(steps * STAGES * n) };
    const nodes = this.kernel.network.nodes.length;
    const at = new Float64Array(n);
    for (let s = 0; s < steps; s++) {
      const h = to.mesh[s + 1] - to.mesh[s];
      for (let k = 0; k < STAGES; k++) {
        orbitAt(orbit, Math.min(this.drive.period, to.mesh[s] + NODES[k] * h), nodes, at);
        next.x.set(at, (s * STAGES + k) * n);
      }
    }
    return next;
  }

  /** Peak to peak of each node over the stages, at least 1 mV. */
  scales(orbit: Orbit): Float64Array {
    const nodes = this.kernel.network.nodes.length;
    const low = new Float64Array(nodes).fill(Number.POSITIVE_INFINITY);
    const high = new Float64Array(nodes).fill(Number.NEGATIVE_INFINITY);
    for (let at = 0; at < orbit.x.length; at += orbit.n) {
      for (let i = 0; i < nodes; i++) {
        const v = orbit.x[at + i];
        if (v < low[i]) low[i] = v;
        if (v > high[i]) high[i] = v;
      }
    }
    return low.map((l, i) => Math.max(SCALE_FLOOR, high[i] - l));
  }

  private chargesAt(x: Float64Array): Float64Array {
    this.kernel.evaluate(x, null, true);
    return Float64Array.from(this.kernel.q);
  }

  private emfs(orbit: Orbit, s: number): number[] {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    return NODES.map((c) => this.drive.emf((orbit.mesh[s] + c * h) / this.drive.period));
  }

  /**
   * One Newton iteration after another over all stages of the period. The orbit is changed in place; on success it
   * solves the collocation equations and `monodromy` belongs to it.
   */
  private newton(orbit: Orbit, done = DONE, most = 40): boolean {
    const { kernel, block, space } = this;
    const n = kernel.n;
    const m = space.rows.length;
    const nodes = kernel.network.nodes.length;
    const steps = stepsOf(orbit);
    const width = STAGES * n;
    const stride = width * (m + 1);
    const change = new Float64Array(steps * stride);
    const columns = new StateColumns(n, space);
    const { dq } = columns;
    const junctions = new Float64Array(steps * STAGES * kernel.junctionCount);
    for (let k = 0; k < steps * STAGES; k++) {
      junctionsOf(
        kernel,
        orbit.x.subarray(k * n, (k + 1) * n),
        junctions.subarray(k * kernel.junctionCount, (k + 1) * kernel.junctionCount),
      );
    }
    const charge = new Float64Array(n);
    const rhs = new Float64Array(width);
    const last = new Float64Array(n);
    let calm = 0;
    for (let round = 0; round < most; round++) {
      this.iterations++;
      for (let i = 0; i < n; i++) last[i] = startValue(orbit, 0, i);
      charge.set(this.chargesAt(last));
      columns.begin(kernel);
      let limited = false;
      for (let s = 0; s < steps; s++) {
        const h = orbit.mesh[s + 1] - orbit.mesh[s];
        if (block.evaluate(orbit.x, s * width, h, charge, this.emfs(orbit, s), junctions, s * STAGES * kernel.junctionCount))
          limited = true;
        if (!factored(block, h)) return false;
        const base = s * stride;
        for (let j = 0; j <= columns.count; j++) {
          block.startColumn(dq, j * n, h, rhs);
          if (j === 0) for (let i = 0; i < width; i++) rhs[i] -= block.residual[i];
          block.lu.solve(rhs, rhs);
          change.set(rhs, base + j * width);
          block.chargeChange(block.endC, rhs, (STAGES - 1) * n, dq, j * n);
        }
        charge.set(block.endCharge);
        columns.afterStep(s);
      }
      const z = this.close(columns);
      if (!z) return false;
      const { worst, move } = this.total(change, columns, z, orbit, nodes);
      if (!Number.isFinite(worst)) return false;
      const share = move > LARGEST_MOVE && round < most / 2 ? LARGEST_MOVE / move : 1;
      for (let s = 0; s < steps; s++) {
        const base = s * stride;
        for (let i = 0; i < width; i++) orbit.x[s * width + i] += share * change[base + i];
      }
      if (!limited && share === 1 && worst < done) return true;
      calm = worst < 1e-6 && !limited ? calm + 1 : 0;
      if (calm >= 4) return true;
    }
    return false;
  }

  /** Closes the period: (I - D) z = d, with D and d the state rows of the charge changes. Keeps D. */
  private close(columns: StateColumns): Float64Array | null {
    const { rows } = this.space;
    const m = rows.length;
    if (this.monodromy.length !== m * m) this.monodromy = new Float64Array(m * m);
    columns.monodromy(this.monodromy);
    const a = this.monodromy.map((d, k) => (k % (m + 1) === 0 ? 1 : 0) - d);
    const z = Float64Array.from(rows, (row) => columns.dq[row]);
    return solveDense(a, z, m) ? z : null;
  }

  /** Adds the state columns to the particular one, in place; returns the largest change over scale and the largest node move. */
  private total(
    change: Float64Array,
    columns: StateColumns,
    z: Float64Array,
    orbit: Orbit,
    nodes: number,
  ): { worst: number; move: number } {
    const width = STAGES * orbit.n;
    const stride = width * (z.length + 1);
    const scale = this.scales(orbit);
    let worst = 0;
    let move = 0;
    for (let s = 0; s < stepsOf(orbit); s++) {
      const base = s * stride;
      const weights = columns.weightsAt(s, z);
      for (let j = 0; j < weights.length; j++) {
        const from = base + (j + 1) * width;
        if (weights[j] !== 0) for (let i = 0; i < width; i++) change[base + i] += weights[j] * change[from + i];
      }
      for (let k = 0; k < STAGES; k++) {
        for (let i = 0; i < nodes; i++) {
          const d = Math.abs(change[base + k * orbit.n + i]);
          if (!(d <= move)) move = d;
          if (!(d <= worst * scale[i])) worst = d / scale[i];
        }
      }
    }
    return { worst: Number.isNaN(move) ? Number.NaN : worst, move };
  }

  /** Shooting from charges `start`: marches the period, closes it by Newton on the charges at its start. Fills the orbit. */
  private shoot(orbit: Orbit, x: Float64Array, start: Float64Array, most = 30): { closed: boolean; rounds: number } {
    const { kernel, block, space } = this;
    const n = kernel.n;
    const m = space.rows.length;
    const width = STAGES * n;
    const nodes = kernel.network.nodes.length;
    const columns = new StateColumns(n, space);
    const { dq } = columns;
    const rhs = new Float64Array(width);
    const charge = new Float64Array(n);
    const column = new Float64Array(n);
    const firstColumns = new Float64Array(n * m);
    for (let round = 1; round <= most; round++) {
      charge.set(start);
      kernel.evaluate(x, null, true);
      columns.begin(kernel);
      for (let s = 0; s < stepsOf(orbit); s++) {
        if (!this.march(orbit, s, charge, round === 1 ? (s === 0 ? x : null) : undefined)) return { closed: false, rounds: round };
        const h = orbit.mesh[s + 1] - orbit.mesh[s];
        for (let j = 1; j <= columns.count; j++) {
          block.startColumn(dq, j * n, h, rhs);
          block.lu.solve(rhs, rhs);
          if (s === 0) firstColumns.set(rhs.subarray(0, n), (j - 1) * n);
          block.chargeChange(block.endC, rhs, (STAGES - 1) * n, dq, j * n);
        }
        columns.afterStep(s);
        charge.set(block.endCharge);
      }
      if (m === 0) return { closed: true, rounds: round };
      for (let i = 0; i < n; i++) dq[i] = charge[i] - start[i];
      const z = this.close(columns);
      if (!z) return { closed: false, rounds: round };
      let move = 0;
      for (let i = 0; i < nodes; i++) {
        let d = 0;
        for (let j = 0; j < m; j++) d += z[j] * firstColumns[j * n + i];
        move = Math.max(move, Math.abs(d));
      }
      if (!Number.isFinite(move)) return { closed: false, rounds: round };
      const share = Math.min(1, LARGEST_MOVE / move);
      for (let j = 0; j < m; j++) {
        spread(space, j, column);
        for (let i = 0; i < n; i++) start[i] += share * z[j] * column[i];
      }
      // What is left is Newton's over the whole period, from here quadratic.
      if (move < 1e-2) return { closed: true, rounds: round };
    }
    return { closed: false, rounds: most };
  }

  /**
   * Solves the stages of step s from the charges at its start. First guess: `guess` at every stage, the end of the step
   * before (null), or what the orbit already holds (undefined). Leaves the block factored at the solution.
   */
  private march(orbit: Orbit, s: number, charge: Float64Array, guess: Float64Array | null | undefined): boolean {
    const n = this.kernel.n;
    const at = s * STAGES * n;
    if (guess !== undefined) {
      for (let k = 0; k < STAGES; k++) for (let i = 0; i < n; i++) orbit.x[at + k * n + i] = guess ? guess[i] : startValue(orbit, s, i);
    }
    return marchStep(this.kernel, this.block, orbit.x, at, orbit.mesh[s + 1] - orbit.mesh[s], charge, this.emfs(orbit, s));
  }
}

function largest(values: Float64Array): number {
  let worst = 0;
  for (const v of values) if (!(v <= worst)) worst = v;
  return worst;
}
