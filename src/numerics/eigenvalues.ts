/** Eigenvalues of a small dense matrix, by ml-matrix behind one guard: its decomposition does not return on a NaN. */
import { EVD, Matrix } from 'ml-matrix';

/** Eigenvalues of the m x m matrix `a` (row by row), real and imaginary parts; null where an entry is not finite. */
export function eigenvalues(a: Float64Array, m: number): { re: number[]; im: number[] } | null {
  for (let k = 0; k < m * m; k++) if (!Number.isFinite(a[k])) return null;
  if (m === 0) return { re: [], im: [] };
  const matrix = new Matrix(m, m);
  for (let i = 0; i < m; i++) for (let j = 0; j < m; j++) matrix.set(i, j, a[i * m + j]);
  const { realEigenvalues: re, imaginaryEigenvalues: im } = new EVD(matrix, { assumeSymmetric: false });
  return { re, im };
}
