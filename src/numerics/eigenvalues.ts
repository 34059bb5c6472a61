/**
 * Eigenvalues of a small dense matrix, by ml-matrix behind a guard: its decomposition does not return on a NaN, nor where
 * squares of its entries vanish. So the matrix is balanced (Parlett and Reinsch, Numerische Mathematik 13, 1969), brought
 * to unit size, and what is lost beside the rest is set to zero first.
 */
import { EVD, Matrix } from 'ml-matrix';

/** Entries of the balanced matrix below this share of the largest are rounding. */
const LOST = 1e-40;
const ROUNDS = 60;

/** Eigenvalues of the m x m matrix `a` (row by row), real and imaginary parts; null where an entry is not finite. */
export function eigenvalues(a: Float64Array, m: number): { re: number[]; im: number[] } | null {
  for (let k = 0; k < m * m; k++) if (!Number.isFinite(a[k])) return null;
  const b = balanced(a, m);
  let largest = 0;
  for (const v of b) largest = Math.max(largest, Math.abs(v));
  if (largest === 0) return { re: new Array<number>(m).fill(0), im: new Array<number>(m).fill(0) };
  const matrix = new Matrix(m, m);
  for (let i = 0; i < m; i++) {
    for (let j = 0; j < m; j++) {
      const v = b[i * m + j] / largest;
      matrix.set(i, j, Math.abs(v) < LOST ? 0 : v);
    }
  }
  const { realEigenvalues, imaginaryEigenvalues } = new EVD(matrix, { assumeSymmetric: false });
  return { re: realEigenvalues.map((v) => v * largest), im: imaginaryEigenvalues.map((v) => v * largest) };
}

/** The matrix with rows and columns scaled by powers of two until they match: the eigenvalues stay, the entries come together. */
function balanced(a: Float64Array, m: number): Float64Array {
  const b = Float64Array.from(a);
  for (let round = 0, changed = true; changed && round < ROUNDS; round++) {
    changed = false;
    for (let i = 0; i < m; i++) {
      let row = 0;
      let column = 0;
      for (let j = 0; j < m; j++) {
        if (j === i) continue;
        row += Math.abs(b[i * m + j]);
        column += Math.abs(b[j * m + i]);
      }
      if (!(row > 0 && column > 0)) continue;
      let factor = 1;
      while (column * factor * factor < row / 2 && factor < 1e150) factor *= 2;
      while (column * factor * factor > row * 2 && factor > 1e-150) factor /= 2;
      if (factor === 1) continue;
      changed = true;
      for (let j = 0; j < m; j++) {
        b[i * m + j] /= factor;
        b[j * m + i] *= factor;
      }
    }
  }
  return b;
}
