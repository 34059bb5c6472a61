/**
 * One step of the Radau IIA method with three stages (order 5, stage order 3, stiffly accurate; Hairer and Wanner,
 * Solving Ordinary Differential Equations II, 2nd ed. 1996, IV.5) for d q(x)/dt + f(x, t) = 0. It needs only the charges
 * at its start, so supplies that jump, loops of capacitors and junctions without charge are all the same to it:
 *
 *     sum_j W_ij (q(X_j) - q_0)/h + f(X_i, t_0 + c_i h) = 0,   W = A^-1,   i = 1..3
 */
import type { Kernel } from '../circuit/kernel.ts';
import type { BipolarParameters } from '../devices/parameters.ts';
import { solveDense } from '../numerics/dense.ts';
import { patternOf, SparseLU } from '../numerics/sparse.ts';

export const STAGES = 3;
const R6 = Math.sqrt(6);
/** Stage instants as shares of the step; the last is its end. */
export const NODES: readonly number[] = [(4 - R6) / 10, (4 + R6) / 10, 1];
/** Quadrature weights of the stages, exact to order 5: the last row of A. */
export const WEIGHTS: readonly number[] = [(16 - R6) / 36, (16 + R6) / 36, 1 / 9];

function inverseOfA(): Float64Array {
  const a = Float64Array.of(
    (88 - 7 * R6) / 360,
    (296 - 169 * R6) / 1800,
    (-2 + 3 * R6) / 225,
    (296 + 169 * R6) / 1800,
    (88 + 7 * R6) / 360,
    (-2 - 3 * R6) / 225,
    (16 - R6) / 36,
    (16 + R6) / 36,
    1 / 9,
  );
  const inverse = Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1);
  solveDense(a, inverse, 3, 3);
  return inverse;
}
/** W, row by row, and its row sums, which weigh the charges at the start. */
export const W = inverseOfA();
export const W_SUM = [W[0] + W[1] + W[2], W[3] + W[4] + W[5], W[6] + W[7] + W[8]];

/** Positions in the kernel's pattern at which charges can have a derivative. */
export function chargePositions(kernel: Kernel): Int32Array {
  const net = kernel.network;
  const wanted = new Set<number>();
  const n = kernel.n;
  const clique = (...nodes: number[]): void => {
    for (const i of nodes) for (const j of nodes) if (i >= 0 && j >= 0) wanted.add(i * n + j);
  };
  for (const e of net.capacitors) clique(e.a, e.b);
  net.branches.forEach((e, k) => {
    if (e.inductance > 0) clique(net.nodes.length + k);
  });
  for (const t of net.transistors) if (hasCharge(t.parameters)) clique(t.collector, t.base, t.emitter);
  for (const d of net.diodes) if (d.parameters.junctionCapacitance || d.parameters.transitTime) clique(d.anode, d.cathode);
  const positions: number[] = [];
  for (let i = 0; i < n; i++) {
    for (let p = kernel.pattern.rowStart[i]; p < kernel.pattern.rowStart[i + 1]; p++)
      if (wanted.has(i * n + kernel.pattern.columns[p])) positions.push(p);
  }
  return Int32Array.from(positions);
}

function hasCharge(p: BipolarParameters): boolean {
  return [p.emitterJunctionCapacitance, p.collectorJunctionCapacitance, p.forwardTransitTime, p.reverseTransitTime].some(
    (v) => (v ?? 0) > 0,
  );
}

/** The three coupled stages of one step as one sparse system of 3n unknowns. */
export class StageBlock {
  readonly kernel: Kernel;
  readonly lu: SparseLU;
  /** Residual of the stages (3n), filled by {@link evaluate}. */
  readonly residual: Float64Array;
  /** Charge at the end of the step (n) and its Jacobian's values at `charges`. */
  readonly endCharge: Float64Array;
  readonly endC: Float64Array;
  readonly charges: Int32Array;
  private readonly rowOf: Int32Array;
  private readonly values: Float64Array;
  private readonly g: Float64Array[];
  private readonly c: Float64Array[];
  private readonly q: Float64Array[];
  private readonly diagonal: Int32Array[];
  /** For stage pair (i, j): where the k-th charge position lies in the block's values. */
  private readonly offDiagonal: Int32Array[];
  private readonly at: Float64Array;

  constructor(kernel: Kernel) {
    this.kernel = kernel;
    const n = kernel.n;
    const { pattern } = kernel;
    this.charges = chargePositions(kernel);
    this.rowOf = new Int32Array(pattern.columns.length);
    for (let i = 0; i < n; i++) for (let p = pattern.rowStart[i]; p < pattern.rowStart[i + 1]; p++) this.rowOf[p] = i;
    const entries: [number, number][] = [];
    for (let s = 0; s < STAGES; s++) {
      for (let p = 0; p < pattern.columns.length; p++) entries.push([s * n + this.rowOf[p], s * n + pattern.columns[p]]);
      for (let t = 0; t < STAGES; t++)
        if (t !== s) for (const p of this.charges) entries.push([s * n + this.rowOf[p], t * n + pattern.columns[p]]);
    }
    const block = patternOf(STAGES * n, entries);
    this.lu = new SparseLU(block);
    this.values = new Float64Array(block.columns.length);
    const find = (i: number, j: number): number => {
      for (let p = block.rowStart[i]; p < block.rowStart[i + 1]; p++) if (block.columns[p] === j) return p;
      throw new RangeError('an entry of the block is missing from its own pattern');
    };
    this.diagonal = [];
    this.offDiagonal = [];
    for (let s = 0; s < STAGES; s++) {
      this.diagonal.push(Int32Array.from(pattern.columns, (col, p) => find(s * n + this.rowOf[p], s * n + col)));
      for (let t = 0; t < STAGES; t++) {
        this.offDiagonal.push(Int32Array.from(this.charges, (p) => find(s * n + this.rowOf[p], t * n + pattern.columns[p])));
      }
    }
    const make = (length: number): Float64Array[] => Array.from({ length: STAGES }, () => new Float64Array(length));
    this.g = make(pattern.columns.length);
    this.c = make(this.charges.length);
    this.q = make(n);
    this.endCharge = this.q[STAGES - 1];
    this.endC = this.c[STAGES - 1];
    this.residual = new Float64Array(STAGES * n);
    this.at = new Float64Array(n);
  }

  /**
   * Evaluates the stages X (3n, from `offset`) of a step of length h from charges `start`; `generator` holds the
   * electromotive force at the three instants, `junctions` the memory of limiting (3 * junctionCount from
   * `junctionOffset`). Returns whether a junction was limited.
   */
  evaluate(
    x: Float64Array,
    offset: number,
    h: number,
    start: Float64Array,
    generator: readonly number[],
    junctions: Float64Array | null,
    junctionOffset: number,
  ): boolean {
    const { kernel, residual, at } = this;
    const n = kernel.n;
    const drive = kernel.network.generator;
    const count = kernel.junctionCount;
    let limited = false;
    for (let s = 0; s < STAGES; s++) {
      if (drive >= 0) kernel.emf[drive] = generator[s];
      for (let i = 0; i < n; i++) at[i] = x[offset + s * n + i];
      const memory = junctions?.subarray(junctionOffset + s * count, junctionOffset + (s + 1) * count) ?? null;
      if (kernel.evaluate(at, memory, true)) limited = true;
      this.g[s].set(kernel.g);
      for (let k = 0; k < this.charges.length; k++) this.c[s][k] = kernel.c[this.charges[k]];
      this.q[s].set(kernel.q);
      for (let i = 0; i < n; i++) residual[s * n + i] = kernel.f[i];
    }
    const scale = 1 / h;
    for (let s = 0; s < STAGES; s++) {
      const w0 = W[3 * s] * scale;
      const w1 = W[3 * s + 1] * scale;
      const w2 = W[3 * s + 2] * scale;
      const [q0, q1, q2] = this.q;
      for (let i = 0; i < n; i++) residual[s * n + i] += w0 * (q0[i] - start[i]) + w1 * (q1[i] - start[i]) + w2 * (q2[i] - start[i]);
    }
    return limited;
  }

  /** Factors the Jacobian of the stages last evaluated. Throws SingularMatrix. */
  factor(h: number): void {
    const { values, charges } = this;
    const scale = 1 / h;
    values.fill(0);
    for (let s = 0; s < STAGES; s++) {
      const d = this.diagonal[s];
      const g = this.g[s];
      for (let p = 0; p < d.length; p++) values[d[p]] = g[p];
      for (let t = 0; t < STAGES; t++) {
        const w = W[3 * s + t] * scale;
        const o = this.offDiagonal[3 * s + t];
        const c = this.c[t];
        for (let k = 0; k < charges.length; k++) values[o[k]] += w * c[k];
      }
    }
    this.lu.factor(values);
  }

  /** Writes the stages' right-hand side of a change `dq` of the charges at the start: W_SUM_i dq/h. */
  startColumn(dq: Float64Array, dqOffset: number, h: number, into: Float64Array): void {
    const n = this.kernel.n;
    for (let s = 0; s < STAGES; s++) {
      const w = W_SUM[s] / h;
      for (let i = 0; i < n; i++) into[s * n + i] = w * dq[dqOffset + i];
    }
  }

  /** The change of the end's charges with a change of the end's unknowns: dq = C dx (both n, at offsets). */
  chargeChange(c: Float64Array, dx: Float64Array, dxOffset: number, into: Float64Array, intoOffset: number): void {
    const { pattern, n } = this.kernel;
    for (let i = 0; i < n; i++) into[intoOffset + i] = 0;
    for (let k = 0; k < this.charges.length; k++) {
      const p = this.charges[k];
      into[intoOffset + this.rowOf[p]] += c[k] * dx[dxOffset + pattern.columns[p]];
    }
  }
}
