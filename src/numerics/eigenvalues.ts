/**
 * Eigenvalues of a small real matrix: balanced (Parlett and Reinsch, Numerische Mathematik 13, 1969), reduced to Hessenberg
 * form by elimination (Martin and Wilkinson, Numerische Mathematik 12, 1968), then by the double-shift QR iteration of
 * Francis (Martin, Peters and Wilkinson, Numerische Mathematik 14, 1970). It always returns: a matrix on which the
 * iteration does not end gives null.
 */

/** Entries of the balanced matrix below this share of the largest are rounding. */
const LOST = 1e-40;
const BALANCING_ROUNDS = 60;
/** QR steps for one eigenvalue, and those after which an exceptional shift breaks a cycle. */
const MOST_STEPS = 60;
const EXCEPTIONAL = new Set([10, 20, 40]);

export interface Eigenvalues {
  re: number[];
  im: number[];
}

/** Eigenvalues of the m x m matrix `a` (row by row), real and imaginary parts; null where an entry is not finite. */
export function eigenvalues(a: Float64Array, m: number): Eigenvalues | null {
  for (let k = 0; k < m * m; k++) if (!Number.isFinite(a[k])) return null;
  const b = balanced(a, m);
  let largest = 0;
  for (const v of b) largest = Math.max(largest, Math.abs(v));
  if (largest === 0) return { re: new Array<number>(m).fill(0), im: new Array<number>(m).fill(0) };
  const h = b.map((v) => (Math.abs(v) < LOST * largest ? 0 : v / largest));
  toHessenberg(h, m);
  const found = ofHessenberg(h, m);
  return found && { re: found.re.map((v) => v * largest), im: found.im.map((v) => v * largest) };
}

/** The matrix with rows and columns scaled by powers of two until they match: the eigenvalues stay, the entries come together. */
function balanced(a: Float64Array, m: number): Float64Array {
  const b = Float64Array.from(a);
  for (let round = 0, changed = true; changed && round < BALANCING_ROUNDS; round++) {
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

/** Reduces to upper Hessenberg form in place, by elimination with row exchanges; what lies below is set to zero. */
function toHessenberg(a: Float64Array, m: number): void {
  for (let k = 1; k < m - 1; k++) {
    let pivot = k;
    for (let i = k; i < m; i++) if (Math.abs(a[i * m + k - 1]) > Math.abs(a[pivot * m + k - 1])) pivot = i;
    const x = a[pivot * m + k - 1];
    if (pivot !== k) {
      for (let j = k - 1; j < m; j++) swap(a, pivot * m + j, k * m + j);
      for (let i = 0; i < m; i++) swap(a, i * m + pivot, i * m + k);
    }
    if (x === 0) continue;
    for (let i = k + 1; i < m; i++) {
      const y = a[i * m + k - 1] / x;
      if (y === 0) continue;
      for (let j = k; j < m; j++) a[i * m + j] -= y * a[k * m + j];
      for (let r = 0; r < m; r++) a[r * m + k] += y * a[r * m + i];
      a[i * m + k - 1] = 0;
    }
  }
}

function swap(a: Float64Array, i: number, j: number): void {
  const t = a[i];
  a[i] = a[j];
  a[j] = t;
}

/** Deflates one or two eigenvalues after another from the end of a Hessenberg matrix, which is destroyed. */
function ofHessenberg(a: Float64Array, m: number): Eigenvalues | null {
  const re = new Array<number>(m).fill(0);
  const im = new Array<number>(m).fill(0);
  let norm = 0;
  for (const v of a) norm += Math.abs(v);
  let last = m - 1;
  let shifted = 0;
  let steps = 0;
  while (last >= 0) {
    const first = splitBefore(a, m, last, norm);
    const x = a[last * m + last];
    if (first === last) {
      re[last] = x + shifted;
      last--;
      steps = 0;
      continue;
    }
    const y = a[(last - 1) * m + last - 1];
    const w = a[last * m + last - 1] * a[(last - 1) * m + last];
    if (first === last - 1) {
      const p = 0.5 * (y - x);
      const q = p * p + w;
      const root = Math.sqrt(Math.abs(q));
      if (q >= 0) {
        const z = p + (p >= 0 ? root : -root);
        re[last - 1] = x + shifted + z;
        re[last] = z === 0 ? re[last - 1] : x + shifted - w / z;
      } else {
        re[last - 1] = x + shifted + p;
        re[last] = re[last - 1];
        im[last - 1] = root;
        im[last] = -root;
      }
      last -= 2;
      steps = 0;
      continue;
    }
    if (steps >= MOST_STEPS) return null;
    let shift = { x, y, w };
    if (EXCEPTIONAL.has(steps)) {
      shifted += x;
      for (let i = 0; i <= last; i++) a[i * m + i] -= x;
      const s = Math.abs(a[last * m + last - 1]) + Math.abs(a[(last - 1) * m + last - 2]);
      shift = { x: 0.75 * s, y: 0.75 * s, w: -0.4375 * s * s };
    }
    steps++;
    doubleStep(a, m, first, last, shift);
  }
  return { re, im };
}

/** Start of the unreduced block that ends at `last`: above it a subdiagonal entry is rounding and is set to zero. */
function splitBefore(a: Float64Array, m: number, last: number, norm: number): number {
  for (let l = last; l >= 1; l--) {
    const s = Math.abs(a[(l - 1) * m + l - 1]) + Math.abs(a[l * m + l]) || norm;
    if (Math.abs(a[l * m + l - 1]) > Number.EPSILON * s) continue;
    a[l * m + l - 1] = 0;
    return l;
  }
  return 0;
}

/** One double-shift QR step on rows and columns first..last; the shifts are the roots of z^2 - (x + y) z + x y - w. */
function doubleStep(
  a: Float64Array,
  m: number,
  first: number,
  last: number,
  { x: sx, y: sy, w }: { x: number; y: number; w: number },
): void {
  let p = 0;
  let q = 0;
  let r = 0;
  let start = last - 2;
  for (; start >= first; start--) {
    const z = a[start * m + start];
    const rr = sx - z;
    const ss = sy - z;
    p = (rr * ss - w) / a[(start + 1) * m + start] + a[start * m + start + 1];
    q = a[(start + 1) * m + start + 1] - z - rr - ss;
    r = a[(start + 2) * m + start + 1];
    const scale = Math.abs(p) + Math.abs(q) + Math.abs(r) || 1;
    p /= scale;
    q /= scale;
    r /= scale;
    if (start === first) break;
    const small = Math.abs(a[start * m + start - 1]) * (Math.abs(q) + Math.abs(r));
    const large = Math.abs(p) * (Math.abs(a[(start - 1) * m + start - 1]) + Math.abs(z) + Math.abs(a[(start + 1) * m + start + 1]));
    if (small <= Number.EPSILON * large) break;
  }
  for (let i = start + 2; i <= last; i++) {
    a[i * m + i - 2] = 0;
    if (i > start + 2) a[i * m + i - 3] = 0;
  }
  for (let k = start; k < last; k++) {
    const three = k < last - 1;
    let scale = 1;
    if (k > start) {
      p = a[k * m + k - 1];
      q = a[(k + 1) * m + k - 1];
      r = three ? a[(k + 2) * m + k - 1] : 0;
      scale = Math.abs(p) + Math.abs(q) + Math.abs(r);
      if (scale === 0) continue;
      p /= scale;
      q /= scale;
      r /= scale;
    }
    const length = Math.sqrt(p * p + q * q + r * r);
    const s = p < 0 ? -length : length;
    if (s === 0) continue;
    if (k > start) a[k * m + k - 1] = -s * scale;
    else if (first !== start) a[k * m + k - 1] = -a[k * m + k - 1];
    p += s;
    const x = p / s;
    const y = q / s;
    const z = r / s;
    q /= p;
    r /= p;
    for (let j = k; j <= last; j++) {
      const sum = a[k * m + j] + q * a[(k + 1) * m + j] + (three ? r * a[(k + 2) * m + j] : 0);
      a[k * m + j] -= sum * x;
      a[(k + 1) * m + j] -= sum * y;
      if (three) a[(k + 2) * m + j] -= sum * z;
    }
    for (let i = first; i <= Math.min(last, k + 3); i++) {
      const sum = x * a[i * m + k] + y * a[i * m + k + 1] + (three ? z * a[i * m + k + 2] : 0);
      a[i * m + k] -= sum;
      a[i * m + k + 1] -= sum * q;
      if (three) a[i * m + k + 2] -= sum * r;
    }
  }
}
