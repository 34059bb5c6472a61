/** Natural frequencies about a solution: the s with det(G + s C) = 0, from the states alone. */

import type { Kernel } from '../circuit/kernel.ts';
import { eigenvalues } from '../numerics/eigenvalues.ts';
import { hypot, square } from '../numerics/elementary.ts';
import { SparseLU } from '../numerics/sparse.ts';
import { type StateSpace, stateSpace } from './states.ts';

export interface Pole {
  /** 1/s */
  re: number;
  im: number;
}

/** A time constant below this share of the longest is lost in rounding and not reported. */
const LOST = 1e-14;

/**
 * Finite poles at the kernel's solution x, slowest first, or null where they could not be found. With m states and
 * G nonsingular, s = -1/mu for the eigenvalues mu of R C G^-1 E (m x m), where E spreads a state's charge over the rows.
 */
export function polesAt(kernel: Kernel, x: Float64Array, space: StateSpace = stateSpace(kernel)): Pole[] | null {
  const m = space.rows.length;
  if (m === 0) return [];
  kernel.evaluate(x, null, true);
  const lu = new SparseLU(kernel.pattern);
  try {
    lu.factor(kernel.g);
  } catch {
    return null;
  }
  const n = kernel.n;
  const column = new Float64Array(n);
  const matrix = new Float64Array(m * m);
  for (let j = 0; j < m; j++) {
    spread(space, j, column);
    lu.solve(column, column);
    for (let k = 0; k < m; k++) {
      const i = space.rows[k];
      let sum = 0;
      for (let p = kernel.pattern.rowStart[i]; p < kernel.pattern.rowStart[i + 1]; p++)
        sum += kernel.c[p] * column[kernel.pattern.columns[p]];
      matrix[k * m + j] = sum;
    }
  }
  const mu = eigenvalues(matrix, m);
  if (!mu) return null;
  const longest = Math.max(...mu.re.map((re, k) => hypot(re, mu.im[k])));
  return mu.re
    .map((re, k) => ({ re, im: mu.im[k], size: hypot(re, mu.im[k]) }))
    .filter((v) => v.size > LOST * longest)
    .sort((a, b) => b.size - a.size)
    .map((v) => ({ re: -v.re / square(v.size), im: v.im / square(v.size) }));
}

/** The rows (n) that a unit of state j's charge touches. */
export function spread(space: StateSpace, j: number, column: Float64Array): void {
  column.fill(0);
  column[space.rows[j]] = 1;
  for (const d of space.dependent) if (d.of.includes(j)) column[d.row] = -1;
}
