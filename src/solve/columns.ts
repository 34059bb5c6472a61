/** The state columns that a Newton iteration carries through the period: fewer as fast states are forgotten. */
import type { Kernel } from '../circuit/kernel.ts';
import { positionIn } from '../numerics/sparse.ts';
import { compressColumns } from './compress.ts';
import { spread } from './poles.ts';
import type { StateSpace } from './states.ts';

/** Steps after which dependent columns are looked for. */
const LOOK_AFTER = new Set([0, 1, 3, 7, 15]);

export class StateColumns {
  /** Charge changes (n each): the particular one, then the columns still carried. */
  readonly dq: Float64Array;
  /** Columns still carried. */
  count: number;
  private readonly n: number;
  private readonly m: number;
  private readonly space: StateSpace;
  /** count x m: how each state's column is made of those carried; null while each is its own. */
  private map: Float64Array | null = null;
  private segments: { from: number; count: number; map: Float64Array | null }[] = [];
  private readonly rowWeight: Float64Array;
  private columnWeight: number[] = [];

  constructor(n: number, space: StateSpace) {
    this.n = n;
    this.space = space;
    this.m = space.rows.length;
    this.count = this.m;
    this.dq = new Float64Array(n * (this.m + 1));
    this.rowWeight = new Float64Array(n);
  }

  /** A unit of each state at the start of the period; the kernel's capacitances there say what a volt is worth. */
  begin(kernel: Kernel): void {
    const { dq, n, m, space, rowWeight } = this;
    dq.fill(0);
    for (let j = 0; j < m; j++) spread(space, j, dq.subarray((j + 1) * n, (j + 2) * n));
    for (let i = 0; i < n; i++) {
      const p = positionIn(kernel.pattern, i, i);
      rowWeight[i] = p < 0 ? 0 : Math.abs(kernel.c[p]);
    }
    this.count = m;
    this.map = null;
    this.segments = [{ from: 0, count: m, map: null }];
    this.columnWeight = Array.from(space.rows, (row) => rowWeight[row]);
  }

  /** Drops the columns that have become combinations of others, after step s. */
  afterStep(s: number): void {
    if (!LOOK_AFTER.has(s) || this.count < 2) return;
    const { n, m, dq } = this;
    const c = compressColumns(dq, n, n, this.count, this.rowWeight, this.columnWeight);
    if (!c) return;
    c.kept.forEach((j, k) => {
      // Kept columns may lie in any order: copy from what is still untouched.
      this.scratch.set(dq.subarray((j + 1) * n, (j + 2) * n), k * n);
    });
    dq.set(this.scratch.subarray(0, c.kept.length * n), n);
    this.columnWeight = c.kept.map((j) => this.columnWeight[j]);
    const map = new Float64Array(c.kept.length * m);
    for (let k = 0; k < c.kept.length; k++) {
      for (let j = 0; j < m; j++) {
        let sum = 0;
        if (this.map) for (let l = 0; l < this.count; l++) sum += c.map[k * this.count + l] * this.map[l * m + j];
        else sum = c.map[k * this.count + j];
        map[k * m + j] = sum;
      }
    }
    this.map = map;
    this.count = c.kept.length;
    this.segments.push({ from: s + 1, count: this.count, map });
  }
  private get scratch(): Float64Array {
    this.scratchSpace ??= new Float64Array(this.n * this.m);
    return this.scratchSpace;
  }
  private scratchSpace: Float64Array | undefined;

  /** The monodromy matrix (m x m) from the columns at the period's end, into `into`. */
  monodromy(into: Float64Array): void {
    const { m, n, dq, space, map, count } = this;
    for (let k = 0; k < m; k++) {
      for (let j = 0; j < m; j++) {
        let sum = 0;
        if (map) for (let l = 0; l < count; l++) sum += dq[(l + 1) * n + space.rows[k]] * map[l * m + j];
        else sum = dq[(j + 1) * n + space.rows[k]];
        into[k * m + j] = sum;
      }
    }
  }

  /** How much of each column carried through step s a change z of the states means. */
  weightsAt(s: number, z: Float64Array): Float64Array {
    const segment = this.segments.findLast((g) => g.from <= s);
    if (!segment?.map) return z;
    const weights = new Float64Array(segment.count);
    for (let k = 0; k < segment.count; k++) for (let j = 0; j < this.m; j++) weights[k] += segment.map[k * this.m + j] * z[j];
    return weights;
  }
}
