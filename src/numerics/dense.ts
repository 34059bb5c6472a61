/** Small dense systems: LU with partial pivoting, for the handful of unknowns that close a period. */

/** Solves A X = B in place: `a` (m x m, row by row) is destroyed, `b` (m x columns, row by row) becomes X. False if singular. */
export function solveDense(a: Float64Array, b: Float64Array, m: number, columns = 1): boolean {
  for (let k = 0; k < m; k++) {
    let pivot = k;
    for (let i = k + 1; i < m; i++) if (Math.abs(a[i * m + k]) > Math.abs(a[pivot * m + k])) pivot = i;
    const d = a[pivot * m + k];
    if (!(Math.abs(d) > 0) || !Number.isFinite(d)) return false;
    if (pivot !== k) {
      for (let j = 0; j < m; j++) {
        const t = a[k * m + j];
        a[k * m + j] = a[pivot * m + j];
        a[pivot * m + j] = t;
      }
      for (let j = 0; j < columns; j++) {
        const t = b[k * columns + j];
        b[k * columns + j] = b[pivot * columns + j];
        b[pivot * columns + j] = t;
      }
    }
    for (let i = k + 1; i < m; i++) {
      const l = a[i * m + k] / d;
      if (l === 0) continue;
      for (let j = k + 1; j < m; j++) a[i * m + j] -= l * a[k * m + j];
      for (let j = 0; j < columns; j++) b[i * columns + j] -= l * b[k * columns + j];
    }
  }
  for (let k = m - 1; k >= 0; k--) {
    for (let j = 0; j < columns; j++) {
      let s = b[k * columns + j];
      for (let i = k + 1; i < m; i++) s -= a[k * m + i] * b[i * columns + j];
      b[k * columns + j] = s / a[k * m + k];
    }
  }
  return true;
}
