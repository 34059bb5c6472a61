/**
 * Columns of the monodromy that have become combinations of others. Fast charges are forgotten within a step or two:
 * what is left of a column then lies in the space of the slow ones, and need not be carried through the period by itself.
 * Selection by pivoted Gram-Schmidt (Golub and Van Loan, Matrix Computations, 4th ed., 5.5.7).
 */

/** V per V: what a column may lose. */
const LOST = 1e-9;

export interface Compressed {
  /** Which of the old columns stay. */
  kept: number[];
  /** kept x old: how each old column is made of those that stay, row by row. */
  map: Float64Array;
}

/**
 * `dq` holds `count` columns of n charges each, from `offset` on; `rowWeight` (n) is the charge that one volt means on
 * each row and `columnWeight` (count) what one volt means at each column's state. Null where no column can go.
 */
export function compressColumns(
  dq: Float64Array,
  offset: number,
  n: number,
  count: number,
  rowWeight: Float64Array,
  columnWeight: ArrayLike<number>,
): Compressed | null {
  const v: Float64Array[] = [];
  for (let j = 0; j < count; j++) {
    const column = new Float64Array(n);
    for (let i = 0; i < n; i++) if (rowWeight[i] > 0) column[i] = (dq[offset + j * n + i] * columnWeight[j]) / rowWeight[i];
    v.push(column);
  }
  const left = v.map((c) => Float64Array.from(c));
  const kept: number[] = [];
  const basis: Float64Array[] = [];
  const r = new Float64Array(count * count);
  for (;;) {
    let best = -1;
    let largest = LOST;
    for (let j = 0; j < count; j++) {
      if (kept.includes(j)) continue;
      const norm = Math.sqrt(dot(left[j], left[j]));
      if (norm > largest) {
        largest = norm;
        best = j;
      }
    }
    if (best < 0) break;
    const q = left[best].map((x) => x / largest);
    const k = kept.length;
    kept.push(best);
    basis.push(q);
    for (let j = 0; j < count; j++) {
      const c = dot(q, left[j]);
      r[k * count + j] = c;
      for (let i = 0; i < n; i++) left[j][i] -= c * q[i];
    }
  }
  const rank = kept.length;
  if (rank === count) return null;
  // Each old column by those kept: R11 c = R12, upwards.
  const map = new Float64Array(rank * count);
  for (let j = 0; j < count; j++) {
    for (let k = rank - 1; k >= 0; k--) {
      let sum = r[k * count + j];
      for (let l = k + 1; l < rank; l++) sum -= r[k * count + kept[l]] * map[l * count + j];
      map[k * count + j] = sum / r[k * count + kept[k]];
    }
  }
  // Back from volts to charges.
  for (let k = 0; k < rank; k++) for (let j = 0; j < count; j++) map[k * count + j] *= columnWeight[kept[k]] / columnWeight[j];
  return { kept, map };
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}
