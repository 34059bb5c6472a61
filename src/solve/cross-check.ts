/**
 * The settled waveform a second time, by a method that shares no step with the first: shooting with the two-stage,
 * stiffly accurate, L-stable diagonally implicit method of order 2 (Alexander, SIAM J. Numer. Anal. 14, 1977) on an
 * even mesh. With g = 1 - 1/sqrt(2):
 *
 *     (q(X_1) - q_0)/(g h) + f(X_1, t_0 + g h) = 0
 *     (q(X_2) - q_0)/(g h) + (1 - g)/g f(X_1) + f(X_2, t_0 + h) = 0
 *
 * Its leading error is that of TR-BDF2 (Bank et al., IEEE Trans. ED 32, 1985), but it starts from charges alone, so a
 * corner of the drive needs no care. It serves as a judge of the first method, and as a start where that finds none.
 */
import type { Kernel } from '../circuit/kernel.ts';
import { solveDense } from '../numerics/dense.ts';
import { SingularMatrix, SparseLU } from '../numerics/sparse.ts';
import { type StateSpace, stateSpace } from './states.ts';
import { junctionsOf } from './static.ts';

/** What drives the period: electromotive force (V) at phase p (periods), and the phases at which its slope jumps. */
export interface SecondDrive {
  period: number;
  emf: (phase: number) => number;
  corners: readonly number[];
}

export interface SecondOptions {
  /** Steps over the period; more where corners divide it. */
  steps: number;
  /** Periods marched at the most. */
  rounds: number;
}
export const SECOND: SecondOptions = { steps: 1000, rounds: 60 };

export interface SecondPeriod {
  /** Instants, s, from 0 to the period: even, and denser after corners of the drive. */
  times: Float64Array;
  /** Unknowns at each instant: times.length x n, node voltages first. */
  x: Float64Array;
  n: number;
  /** Periods marched. */
  rounds: number;
}

const GAMMA = 1 - Math.SQRT1_2;
/** What the second stage takes over from the first. */
const CARRY = (1 - GAMMA) / GAMMA;
/** Steps from one corner of the drive to the next at the least. */
const LEAST_STEPS = 64;
/** Instants within the first step after a corner, as shares of it: the fast states of a stage answer a corner there. */
const GRADED = gradedShares(12, 6);
const MOST_ITERATIONS = 50;
/** V or A, relative to 1 plus the unknown: a Newton step below this squares to nothing. */
const SMALL = 1e-6;
/** A step that is not solved is halved this many times at the most. */
const HALVINGS = 12;
/** No node is moved by more when the period is closed: V, and as a share of the widest that a node swings. */
const LARGEST_MOVE = 1;
const MOVED_SHARE = 0.25;
/** V: a closing that moves every node by less than this is the last. */
const CLOSED = 1e-9;
/** A closing must not make the next one larger than this many times itself; else periods are marched without closing. */
const GROWS = 4;
const PLAIN_PERIODS = 8;

/**
 * The settled period of `kernel` (at its temperatures and sources) under `drive`, started from the unknowns `x`; null
 * where a step has no solution or the period does not close within `options.rounds`.
 */
export function settleSecond(kernel: Kernel, drive: SecondDrive, x: Float64Array, options: SecondOptions = SECOND): SecondPeriod | null {
  return new Shooting(kernel, drive).settle(x, options);
}

/** Shares of a step, `doublings` times doubled up to its end, each stretch of `parts` even steps; 0 and 1 left out. */
function gradedShares(doublings: number, parts: number): number[] {
  const shares: number[] = [];
  let from = 0;
  let to = 1;
  for (let k = 0; k < doublings; k++) to /= 2;
  for (let k = 0; k <= doublings; k++) {
    for (let i = 1; i <= parts; i++) shares.push(from + ((to - from) * i) / parts);
    from = to;
    to *= 2;
  }
  shares.pop();
  return shares;
}

class Shooting {
  private readonly kernel: Kernel;
  private readonly drive: SecondDrive;
  private readonly space: StateSpace;
  private readonly lu: SparseLU;
  private readonly values: Float64Array;
  private readonly junctions: Float64Array;
  private readonly residual: Float64Array;
  private readonly carried: Float64Array;
  /** Charge now, and its change with each state at the period's start (m columns of n). */
  private readonly charge: Float64Array;
  private readonly columns: Float64Array;
  private readonly stageColumns: Float64Array;
  /** Change of the unknowns at the end of the first step with each state. */
  private readonly firstMoves: Float64Array;

  constructor(kernel: Kernel, drive: SecondDrive) {
    this.kernel = kernel;
    this.drive = drive;
    this.space = stateSpace(kernel);
    this.lu = new SparseLU(kernel.pattern);
    this.values = new Float64Array(kernel.pattern.columns.length);
    this.junctions = new Float64Array(kernel.junctionCount);
    this.residual = new Float64Array(kernel.n);
    this.carried = new Float64Array(kernel.n);
    this.charge = new Float64Array(kernel.n);
    const size = kernel.n * this.space.rows.length;
    this.columns = new Float64Array(size);
    this.stageColumns = new Float64Array(size);
    this.firstMoves = new Float64Array(size);
  }

  settle(from: Float64Array, options: SecondOptions): SecondPeriod | null {
    const { kernel, charge, space } = this;
    const { n } = kernel;
    const m = space.rows.length;
    const times = this.mesh(options.steps);
    const x = new Float64Array(times.length * n);
    const start = new Float64Array(n);
    const now = Float64Array.from(from);
    kernel.evaluate(now, null, true);
    start.set(kernel.q);
    let plain = 0;
    let last = Number.POSITIVE_INFINITY;
    for (let round = 1; round <= options.rounds; round++) {
      charge.set(start);
      this.unitColumns();
      for (let s = 1; s < times.length; s++) {
        if (!this.step(now, times[s - 1], times[s] - times[s - 1], 0)) return null;
        x.set(now, s * n);
        if (s === 1) this.firstMoves.set(this.stageColumns);
      }
      // The period's start is its end, once it has closed.
      x.copyWithin(0, (times.length - 1) * n);
      const z = this.closing(start);
      if (!z) return null;
      const move = this.moveOf(z);
      if (!Number.isFinite(move)) return null;
      if (move < CLOSED) return { times, x, n, rounds: round };
      if (move > GROWS * last && plain === 0) plain = PLAIN_PERIODS;
      last = move;
      if (plain > 0) {
        plain--;
        start.set(charge);
        continue;
      }
      const share = Math.min(1, Math.max(LARGEST_MOVE, MOVED_SHARE * this.widest(x)) / move);
      for (let j = 0; j < m; j++) this.addState(start, j, share * z[j]);
    }
    return null;
  }

  /** Instants of the period: even between corners, but the first of the even steps after a corner graded towards it. */
  private mesh(steps: number): Float64Array {
    const { period, corners } = this.drive;
    const borders = [0, ...corners.filter((c) => c > 0 && c < 1), 1];
    const times = [0];
    for (let k = 1; k < borders.length; k++) {
      const from = borders[k - 1];
      const length = borders[k] - from;
      const parts = Math.max(corners.length > 0 ? LEAST_STEPS : 1, Math.ceil(length * steps));
      if (corners.includes(from)) for (const share of GRADED) times.push(period * (from + (length * share) / parts));
      for (let i = 1; i <= parts; i++) times.push(period * (from + (length * i) / parts));
    }
    return Float64Array.from(times);
  }

  private addState(row: Float64Array, j: number, amount: number, at = 0): void {
    row[at + this.space.rows[j]] += amount;
    for (const d of this.space.dependent) if (d.of.includes(j)) row[at + d.row] -= amount;
  }

  private unitColumns(): void {
    this.columns.fill(0);
    for (let j = 0; j < this.space.rows.length; j++) this.addState(this.columns, j, 1, j * this.kernel.n);
  }

  /** One step from `this.charge`, halved where Newton does not get there; `now` holds its guess, then its end. */
  private step(now: Float64Array, t: number, h: number, depth: number): boolean {
    const guess = Float64Array.from(now);
    const { n, pattern, g, c } = this.kernel;
    const m = this.space.rows.length;
    const scale = 1 / (GAMMA * h);
    this.carried.fill(0);
    if (!this.stage(now, t + GAMMA * h, scale)) return this.halves(now, guess, t, h, depth);
    for (let i = 0; i < n; i++) this.carried[i] = CARRY * this.kernel.f[i];
    for (let j = 0; j < m; j++) {
      const at = j * n;
      for (let i = 0; i < n; i++) this.residual[i] = scale * this.columns[at + i];
      this.lu.solve(this.residual, this.residual);
      // What the first stage passes to the second: CARRY times the change of f.
      for (let i = 0; i < n; i++) {
        let sum = 0;
        for (let p = pattern.rowStart[i]; p < pattern.rowStart[i + 1]; p++) sum += g[p] * this.residual[pattern.columns[p]];
        this.stageColumns[at + i] = CARRY * sum;
      }
    }
    if (!this.stage(now, t + h, scale)) return this.halves(now, guess, t, h, depth);
    for (let j = 0; j < m; j++) {
      const at = j * n;
      for (let i = 0; i < n; i++) this.residual[i] = scale * this.columns[at + i] - this.stageColumns[at + i];
      this.lu.solve(this.residual, this.residual);
      this.stageColumns.set(this.residual, at);
      for (let i = 0; i < n; i++) {
        let sum = 0;
        for (let p = pattern.rowStart[i]; p < pattern.rowStart[i + 1]; p++) sum += c[p] * this.residual[pattern.columns[p]];
        this.columns[at + i] = sum;
      }
    }
    this.charge.set(this.kernel.q);
    return true;
  }

  private halves(now: Float64Array, guess: Float64Array, t: number, h: number, depth: number): boolean {
    if (depth >= HALVINGS) return false;
    now.set(guess);
    return this.step(now, t, h / 2, depth + 1) && this.step(now, t + h / 2, h / 2, depth + 1);
  }

  /** Newton for one stage; leaves the kernel evaluated at the solution and its matrix factored next to it. */
  private stage(now: Float64Array, t: number, scale: number): boolean {
    const { kernel, charge, carried, residual, values } = this;
    const { network, n } = kernel;
    if (network.generator >= 0) kernel.emf[network.generator] = this.drive.emf(t / this.drive.period);
    junctionsOf(kernel, now, this.junctions);
    for (let k = 0; k < MOST_ITERATIONS; k++) {
      const limited = kernel.evaluate(now, this.junctions, true);
      for (let i = 0; i < n; i++) residual[i] = scale * (kernel.q[i] - charge[i]) + kernel.f[i] + carried[i];
      for (let p = 0; p < values.length; p++) values[p] = scale * kernel.c[p] + kernel.g[p];
      try {
        this.lu.factor(values);
      } catch (e) {
        if (e instanceof SingularMatrix) return false;
        throw e;
      }
      this.lu.solve(residual, residual);
      let worst = 0;
      for (let i = 0; i < n; i++) {
        now[i] -= residual[i];
        const size = Math.abs(residual[i]) / (1 + Math.abs(now[i]));
        if (!(size <= worst)) worst = size;
      }
      if (Number.isNaN(worst)) return false;
      if (!limited && worst < SMALL) {
        kernel.evaluate(now, null, true);
        return true;
      }
    }
    return false;
  }

  /** Newton's change z of the states at the start: (I - D) z = q(T) - q(0). */
  private closing(start: Float64Array): Float64Array | null {
    const { n } = this.kernel;
    const { rows } = this.space;
    const m = rows.length;
    const a = new Float64Array(m * m);
    const z = new Float64Array(m);
    for (let k = 0; k < m; k++) {
      z[k] = this.charge[rows[k]] - start[rows[k]];
      for (let j = 0; j < m; j++) a[k * m + j] = (k === j ? 1 : 0) - this.columns[j * n + rows[k]];
    }
    return solveDense(a, z, m) ? z : null;
  }

  /** V: the widest peak to peak of a node over the period last marched. */
  private widest(x: Float64Array): number {
    const { n, network } = this.kernel;
    let widest = 0;
    for (let i = 0; i < network.nodes.length; i++) {
      let lowest = x[i];
      let highest = x[i];
      for (let at = i; at < x.length; at += n) {
        if (x[at] < lowest) lowest = x[at];
        if (x[at] > highest) highest = x[at];
      }
      widest = Math.max(widest, highest - lowest);
    }
    return widest;
  }

  /** V: the largest change of a node just after the period's start that z means. */
  private moveOf(z: Float64Array): number {
    const { n, network } = this.kernel;
    let move = 0;
    for (let i = 0; i < network.nodes.length; i++) {
      let d = 0;
      for (let j = 0; j < z.length; j++) d += z[j] * this.firstMoves[j * n + i];
      if (!(Math.abs(d) <= move)) move = Math.abs(d);
    }
    return move;
  }
}
