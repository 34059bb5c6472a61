/**
 * Sparse LU with a pivot order chosen once per pattern (Markowitz count with a threshold; Markowitz, Management
 * Science 3, 1957) and then only replayed: the elimination is a flat list of indices, real or complex.
 */

/** Positions of the non-zeros of a square matrix, row by row. */
export interface Pattern {
  readonly n: number;
  /** n + 1 offsets into `columns`. */
  readonly rowStart: Int32Array;
  /** Column of each non-zero, ascending in a row. */
  readonly columns: Int32Array;
}

/** Builds a pattern from coordinate pairs (duplicates allowed). */
export function patternOf(n: number, entries: Iterable<readonly [number, number]>): Pattern {
  const rows: Set<number>[] = Array.from({ length: n }, () => new Set<number>());
  for (const [i, j] of entries) rows[i].add(j);
  const rowStart = new Int32Array(n + 1);
  const columns: number[] = [];
  rows.forEach((row, i) => {
    for (const j of [...row].sort((a, b) => a - b)) columns.push(j);
    rowStart[i + 1] = columns.length;
  });
  return { n, rowStart, columns: Int32Array.from(columns) };
}

/** Index of entry (i, j) in a pattern's value array, -1 if it is not there. */
export function positionIn(pattern: Pattern, i: number, j: number): number {
  let low = pattern.rowStart[i];
  let high = pattern.rowStart[i + 1] - 1;
  while (low <= high) {
    const mid = (low + high) >> 1;
    const c = pattern.columns[mid];
    if (c === j) return mid;
    if (c < j) low = mid + 1;
    else high = mid - 1;
  }
  return -1;
}

/** The matrix has no inverse (or holds a value that is not finite); `index` is a column that could not be eliminated. */
export class SingularMatrix extends Error {
  readonly index: number;
  constructor(index: number) {
    super(`singular matrix at unknown ${index}`);
    this.name = 'SingularMatrix';
    this.index = index;
  }
}

/** A pivot must be at least this share of the largest remaining entry of its row when the order is chosen. */
const PIVOT_THRESHOLD = 0.05;
/** While replaying, a row whose largest entry exceeds its pivot by more than this asks for a new order. */
const PIVOT_DEGRADED = 1e7;

/** The elimination of one pattern as flat index lists; values live with the caller. */
interface Plan {
  readonly rowOrder: Int32Array;
  readonly columnOrder: Int32Array;
  /** Where each value of the pattern goes in the work array. */
  readonly scatter: Int32Array;
  readonly size: number;
  /** Per pivot: pivot position, rows below, columns right, positions of the U row, then per row: L position, targets. */
  readonly program: Int32Array;
  /** For the solves: (L position, row) and (U position, column) pairs, with n + 1 offsets counted in pairs. */
  readonly lower: Int32Array;
  readonly lowerStart: Int32Array;
  readonly upper: Int32Array;
  readonly upperStart: Int32Array;
  readonly diagonal: Int32Array;
}

function choosePlan(pattern: Pattern, magnitude: Float64Array): Plan {
  const n = pattern.n;
  const rows: Map<number, number>[] = Array.from({ length: n }, () => new Map<number, number>());
  const columnRows: Set<number>[] = Array.from({ length: n }, () => new Set<number>());
  for (let i = 0; i < n; i++) {
    for (let p = pattern.rowStart[i]; p < pattern.rowStart[i + 1]; p++) {
      rows[i].set(pattern.columns[p], magnitude[p]);
      columnRows[pattern.columns[p]].add(i);
    }
  }
  const rowOrder = new Int32Array(n);
  const columnOrder = new Int32Array(n);
  const eliminated: { row: number; column: number; below: number[]; right: number[] }[] = [];
  const activeRows = new Set<number>(Array.from({ length: n }, (_, i) => i));
  for (let k = 0; k < n; k++) {
    let best = Number.POSITIVE_INFINITY;
    let bestRow = -1;
    let bestColumn = -1;
    let bestSize = 0;
    for (const i of activeRows) {
      let largest = 0;
      for (const v of rows[i].values()) largest = Math.max(largest, Math.abs(v));
      if (!(largest > 0) || largest === Number.POSITIVE_INFINITY) continue;
      const count = rows[i].size - 1;
      for (const [j, v] of rows[i]) {
        const size = Math.abs(v) / largest;
        if (size < PIVOT_THRESHOLD) continue;
        const cost = count * (columnRows[j].size - 1);
        if (cost < best || (cost === best && size > bestSize)) {
          best = cost;
          bestRow = i;
          bestColumn = j;
          bestSize = size;
        }
      }
    }
    if (bestRow < 0) {
      const left = [...activeRows][0] ?? 0;
      throw new SingularMatrix([...rows[left].keys()][0] ?? left);
    }
    rowOrder[k] = bestRow;
    columnOrder[k] = bestColumn;
    const pivotRow = rows[bestRow];
    const pivot = pivotRow.get(bestColumn) as number;
    activeRows.delete(bestRow);
    for (const j of pivotRow.keys()) columnRows[j].delete(bestRow);
    const below = [...columnRows[bestColumn]].sort((a, b) => a - b);
    const right = [...pivotRow.keys()].filter((j) => j !== bestColumn).sort((a, b) => a - b);
    for (const i of below) {
      const row = rows[i];
      const factor = (row.get(bestColumn) as number) / pivot;
      row.delete(bestColumn);
      for (const j of right) {
        const old = row.get(j);
        if (old === undefined) columnRows[j].add(i);
        row.set(j, (old ?? 0) - factor * (pivotRow.get(j) as number));
      }
    }
    columnRows[bestColumn].clear();
    eliminated.push({ row: bestRow, column: bestColumn, below, right });
  }
  return layOutPlan(pattern, rowOrder, columnOrder, eliminated);
}

function layOutPlan(
  pattern: Pattern,
  rowOrder: Int32Array,
  columnOrder: Int32Array,
  eliminated: { row: number; column: number; below: number[]; right: number[] }[],
): Plan {
  const n = pattern.n;
  const key = (i: number, j: number): number => i * n + j;
  const position = new Map<number, number>();
  const place = (i: number, j: number): number => {
    const k = key(i, j);
    let p = position.get(k);
    if (p === undefined) {
      p = position.size;
      position.set(k, p);
    }
    return p;
  };
  const scatter = new Int32Array(pattern.columns.length);
  const rowRank = new Int32Array(n);
  const columnRank = new Int32Array(n);
  for (let k = 0; k < n; k++) {
    rowRank[rowOrder[k]] = k;
    columnRank[columnOrder[k]] = k;
  }
  const program: number[] = [];
  const lower: number[] = [];
  const upper: number[] = [];
  const lowerStart = new Int32Array(n + 1);
  const upperStart = new Int32Array(n + 1);
  const diagonal = new Int32Array(n);
  eliminated.forEach(({ row, column, below, right }, k) => {
    diagonal[k] = place(row, column);
    program.push(diagonal[k], below.length, right.length);
    for (const j of right) program.push(place(row, j));
    for (const i of below) {
      program.push(place(i, column));
      for (const j of right) program.push(place(i, j));
    }
    for (const i of below) lower.push(place(i, column), rowRank[i]);
    for (const j of right) upper.push(place(row, j), columnRank[j]);
    lowerStart[k + 1] = lower.length / 2;
    upperStart[k + 1] = upper.length / 2;
  });
  for (let i = 0; i < n; i++) {
    for (let p = pattern.rowStart[i]; p < pattern.rowStart[i + 1]; p++) scatter[p] = place(i, pattern.columns[p]);
  }
  return {
    rowOrder,
    columnOrder,
    scatter,
    size: position.size,
    program: Int32Array.from(program),
    lower: Int32Array.from(lower),
    lowerStart,
    upper: Int32Array.from(upper),
    upperStart,
    diagonal,
  };
}

/** Real LU of one pattern. `factor` then `solve`; nothing is allocated once the order is chosen. */
export class SparseLU {
  readonly pattern: Pattern;
  /** How often values were factored, and how often a new order was needed. */
  factorisations = 0;
  plans = 0;
  private plan: Plan | null = null;
  private work = new Float64Array(0);
  private inverse: Float64Array;
  private vector: Float64Array;

  constructor(pattern: Pattern) {
    this.pattern = pattern;
    this.inverse = new Float64Array(pattern.n);
    this.vector = new Float64Array(pattern.n);
  }

  /** Factors the matrix with these values (in the pattern's order). Throws {@link SingularMatrix}. */
  factor(values: Float64Array): void {
    this.factorisations++;
    if (this.plan && this.replay(this.plan, values)) return;
    this.plan = choosePlan(this.pattern, values);
    this.plans++;
    this.work = new Float64Array(this.plan.size);
    if (!this.replay(this.plan, values, true)) throw new SingularMatrix(this.plan.columnOrder[this.pattern.n - 1]);
  }

  private replay(plan: Plan, values: Float64Array, lenient = false): boolean {
    const { program, scatter } = plan;
    const w = this.work;
    const n = this.pattern.n;
    w.fill(0);
    for (let p = 0; p < scatter.length; p++) w[scatter[p]] = values[p];
    let at = 0;
    for (let k = 0; k < n; k++) {
      const pivot = w[program[at]];
      const below = program[at + 1];
      const right = program[at + 2];
      at += 3;
      const inverse = 1 / pivot;
      if (!(inverse < Number.POSITIVE_INFINITY && inverse > Number.NEGATIVE_INFINITY) || inverse === 0) return false;
      this.inverse[k] = inverse;
      const u = at;
      if (!lenient) {
        const bound = Math.abs(pivot) * PIVOT_DEGRADED;
        for (let c = 0; c < right; c++) if (!(Math.abs(w[program[u + c]]) <= bound)) return false;
      }
      at += right;
      for (let r = 0; r < below; r++) {
        const l = w[program[at]] * inverse;
        w[program[at]] = l;
        at++;
        if (l !== 0) for (let c = 0; c < right; c++) w[program[at + c]] -= l * w[program[u + c]];
        at += right;
      }
    }
    return true;
  }

  /** Solves A x = b; `b` and `x` (length n) may be the same array. `offset` addresses a column of a larger array. */
  solve(b: Float64Array, x: Float64Array, offset = 0): void {
    const { rowOrder, columnOrder, lower, lowerStart, upper, upperStart } = this.plan as Plan;
    const n = this.pattern.n;
    const y = this.vector;
    const w = this.work;
    for (let k = 0; k < n; k++) y[k] = b[offset + rowOrder[k]];
    for (let k = 0; k < n; k++) {
      const v = y[k];
      if (v !== 0) for (let p = 2 * lowerStart[k]; p < 2 * lowerStart[k + 1]; p += 2) y[lower[p + 1]] -= w[lower[p]] * v;
    }
    for (let k = n - 1; k >= 0; k--) {
      let sum = y[k];
      for (let p = 2 * upperStart[k]; p < 2 * upperStart[k + 1]; p += 2) sum -= w[upper[p]] * y[upper[p + 1]];
      y[k] = sum * this.inverse[k];
    }
    for (let k = 0; k < n; k++) x[offset + columnOrder[k]] = y[k];
  }

  /** Solves the transposed system: what every unknown contributes to one of them (the adjoint). */
  solveTransposed(b: Float64Array, x: Float64Array): void {
    const { rowOrder, columnOrder, lower, lowerStart, upper, upperStart } = this.plan as Plan;
    const n = this.pattern.n;
    const y = this.vector;
    const w = this.work;
    for (let k = 0; k < n; k++) y[k] = b[columnOrder[k]];
    for (let k = 0; k < n; k++) {
      y[k] *= this.inverse[k];
      const v = y[k];
      if (v !== 0) for (let p = 2 * upperStart[k]; p < 2 * upperStart[k + 1]; p += 2) y[upper[p + 1]] -= w[upper[p]] * v;
    }
    for (let k = n - 1; k >= 0; k--) {
      let sum = y[k];
      for (let p = 2 * lowerStart[k]; p < 2 * lowerStart[k + 1]; p += 2) sum -= w[lower[p]] * y[lower[p + 1]];
      y[k] = sum;
    }
    for (let k = 0; k < n; k++) x[rowOrder[k]] = y[k];
  }
}

/** Complex LU of one pattern: as {@link SparseLU}, with real and imaginary parts in separate arrays. */
export class ComplexSparseLU {
  readonly pattern: Pattern;
  private plan: Plan | null = null;
  private real = new Float64Array(0);
  private imaginary = new Float64Array(0);
  private yReal: Float64Array;
  private yImaginary: Float64Array;
  private magnitude: Float64Array;

  constructor(pattern: Pattern) {
    this.pattern = pattern;
    this.yReal = new Float64Array(pattern.n);
    this.yImaginary = new Float64Array(pattern.n);
    this.magnitude = new Float64Array(pattern.columns.length);
  }

  /** Factors the matrix re + j im (values in the pattern's order). Throws {@link SingularMatrix}. */
  factor(re: Float64Array, im: Float64Array): void {
    if (this.plan && this.replay(this.plan, re, im, false)) return;
    for (let p = 0; p < re.length; p++) this.magnitude[p] = Math.abs(re[p]) + Math.abs(im[p]);
    this.plan = choosePlan(this.pattern, this.magnitude);
    this.real = new Float64Array(this.plan.size);
    this.imaginary = new Float64Array(this.plan.size);
    if (!this.replay(this.plan, re, im, true)) throw new SingularMatrix(this.plan.columnOrder[this.pattern.n - 1]);
  }

  private replay(plan: Plan, re: Float64Array, im: Float64Array, lenient: boolean): boolean {
    const { program, scatter } = plan;
    const a = this.real;
    const b = this.imaginary;
    a.fill(0);
    b.fill(0);
    for (let p = 0; p < scatter.length; p++) {
      a[scatter[p]] = re[p];
      b[scatter[p]] = im[p];
    }
    let at = 0;
    for (let k = 0; k < this.pattern.n; k++) {
      const d = program[at];
      const below = program[at + 1];
      const right = program[at + 2];
      at += 3;
      const size = Math.abs(a[d]) + Math.abs(b[d]);
      if (!(size > 0) || size === Number.POSITIVE_INFINITY) return false;
      const u = at;
      if (!lenient) {
        for (let c = 0; c < right; c++) {
          const p = program[u + c];
          if (!(Math.abs(a[p]) + Math.abs(b[p]) <= size * PIVOT_DEGRADED)) return false;
        }
      }
      // The reciprocal of the pivot, scaled so that its square neither overflows nor vanishes.
      const pr = a[d] / size;
      const pi = b[d] / size;
      const square = (pr * pr + pi * pi) * size;
      const ir = pr / square;
      const ii = -pi / square;
      a[d] = ir;
      b[d] = ii;
      at += right;
      for (let r = 0; r < below; r++) {
        const p = program[at++];
        const lr = a[p] * ir - b[p] * ii;
        const li = a[p] * ii + b[p] * ir;
        a[p] = lr;
        b[p] = li;
        for (let c = 0; c < right; c++) {
          const t = program[at + c];
          const s = program[u + c];
          a[t] -= lr * a[s] - li * b[s];
          b[t] -= lr * b[s] + li * a[s];
        }
        at += right;
      }
    }
    return true;
  }

  /** Solves A x = b; arrays of length n, results may overwrite the right-hand side. */
  solve(bReal: Float64Array, bImaginary: Float64Array, xReal: Float64Array, xImaginary: Float64Array): void {
    const { rowOrder, columnOrder, lower, lowerStart, upper, upperStart, diagonal } = this.plan as Plan;
    const n = this.pattern.n;
    const y = this.yReal;
    const z = this.yImaginary;
    const a = this.real;
    const b = this.imaginary;
    for (let k = 0; k < n; k++) {
      y[k] = bReal[rowOrder[k]];
      z[k] = bImaginary[rowOrder[k]];
    }
    for (let k = 0; k < n; k++) {
      for (let p = 2 * lowerStart[k]; p < 2 * lowerStart[k + 1]; p += 2) {
        const l = lower[p];
        const i = lower[p + 1];
        y[i] -= a[l] * y[k] - b[l] * z[k];
        z[i] -= a[l] * z[k] + b[l] * y[k];
      }
    }
    for (let k = n - 1; k >= 0; k--) {
      let sr = y[k];
      let si = z[k];
      for (let p = 2 * upperStart[k]; p < 2 * upperStart[k + 1]; p += 2) {
        const u = upper[p];
        const j = upper[p + 1];
        sr -= a[u] * y[j] - b[u] * z[j];
        si -= a[u] * z[j] + b[u] * y[j];
      }
      const d = diagonal[k];
      y[k] = sr * a[d] - si * b[d];
      z[k] = sr * b[d] + si * a[d];
    }
    for (let k = 0; k < n; k++) {
      xReal[columnOrder[k]] = y[k];
      xImaginary[columnOrder[k]] = z[k];
    }
  }
}
