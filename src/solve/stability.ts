/** Whether a resting point holds: no natural frequency in the right half-plane. */
import type { Kernel } from '../circuit/kernel.ts';
import { eigenvalues } from '../numerics/eigenvalues.ts';
import { positionIn, SingularMatrix, SparseLU } from '../numerics/sparse.ts';
import { heldNodes, loopedTransistors } from './loops.ts';
import { type Pole, polesAt } from './poles.ts';

/**
 * F: what wiring alone puts at every node. Without capacitances in the sheet a stage has no natural frequencies, and
 * with a few of them a latch may still move faster than any; then this much to ground is assumed at every node of the sheet. Of the
 * poles that it makes only real ones count: an odd number of them on the right is there whatever capacitances the
 * stage has (the sign of det(G + s C) at s = 0 against that at infinity), while a ringing pair would be our own making.
 */
export const STRAY = 1e-12;
/** A pole whose time constant is below this share of the longest one may have its sign from rounding. */
const TRUSTED = 1e-11;
/** s, and share of `STRAY` at least: the same lag at every node, for the second way of sharing out. */
const LAG = 1e-9;
const LEAST_SHARE = 1e-3;
const INVERSE_ROUNDS = 4;
/** Share of the pole by which the confirmation may differ from it. */
const CONFIRMED = 0.1;

/** The pole furthest to the right at the solution x where that is in the right half-plane; null where the point holds. */
export function growingPole(kernel: Kernel, x: Float64Array): Pole | null {
  const own = polesAt(kernel, x) ?? [];
  const size = (p: Pole): number => Math.abs(p.re) + Math.abs(p.im);
  const slowest = Math.min(...own.map(size));
  const candidates = own.filter((p) => p.re > 0 && size(p) * TRUSTED < slowest);
  const [first, ...others] = candidates.length > 0 ? candidates : strayPoles(kernel, x);
  if (first === undefined) return null;
  return others.reduce((a, b) => (b.re > a.re ? b : a), first);
}

/**
 * Real poles in the right half-plane with `STRAY` at every named node that no source holds, and nothing else. They must be
 * there too with capacitances in proportion to the conductances of the nodes: what hangs on how they are shared out is
 * no property of the sheet. Without transistors that act back on each other there are none.
 */
function strayPoles(kernel: Kernel, x: Float64Array): Pole[] {
  if (loopedTransistors(kernel.network).length < 2) return [];
  const even = polesWith(kernel, x, () => STRAY);
  if (even.length === 0) return [];
  const shared = polesWith(kernel, x, (i) => LAG * Math.abs(kernel.g[positionIn(kernel.pattern, i, i)]) + STRAY * LEAST_SHARE);
  return shared.length > 0 ? even : [];
}

/** Real poles in the right half-plane with the given capacitance (F) from every named free node to ground. */
function polesWith(kernel: Kernel, x: Float64Array, capacitance: (node: number) => number): Pole[] {
  const held = heldNodes(kernel.network);
  // Inside a device there is no wiring.
  const free = Array.from({ length: kernel.network.named }, (_, i) => i).filter((i) => !held.has(i));
  const m = free.length;
  if (m === 0) return [];
  kernel.evaluate(x, null, false);
  const lu = new SparseLU(kernel.pattern);
  try {
    lu.factor(kernel.g);
  } catch (e) {
    if (e instanceof SingularMatrix) return [];
    throw e;
  }
  const c = free.map(capacitance);
  const inverse = new Float64Array(m * m);
  const column = new Float64Array(kernel.n);
  free.forEach((row, j) => {
    column.fill(0);
    column[row] = c[j];
    lu.solve(column, column);
    free.forEach((i, k) => {
      inverse[k * m + j] = column[i];
    });
  });
  const mu = eigenvalues(inverse, m);
  if (!mu) return [];
  const largest = Math.max(...mu.re.map(Math.abs));
  // det(G + s C) = 0: s = -1/mu for the eigenvalues mu of that part of G^-1 C.
  return [...mu.re].flatMap((re, k) => {
    const s = -1 / re;
    return mu.im[k] === 0 && re < -TRUSTED * largest && confirmed(kernel, free, c, s) ? [{ re: s, im: 0 }] : [];
  });
}

/**
 * Whether the pole s of the stray capacitances is one: inverse iteration next to it must lead to it. Eigenvalues of a
 * matrix whose resistances reach from milliohms to those of closed junctions can be off by more than themselves.
 */
function confirmed(kernel: Kernel, free: number[], c: number[], s: number): boolean {
  const values = Float64Array.from(kernel.g);
  free.forEach((i, k) => {
    values[positionIn(kernel.pattern, i, i)] += s * c[k];
  });
  const lu = new SparseLU(kernel.pattern);
  try {
    lu.factor(values);
  } catch (e) {
    // Exactly on the pole.
    if (e instanceof SingularMatrix) return true;
    throw e;
  }
  let v = new Float64Array(kernel.n);
  for (const i of free) v[i] = 1;
  let distance = Number.POSITIVE_INFINITY;
  for (let round = 0; round < INVERSE_ROUNDS; round++) {
    const y = new Float64Array(kernel.n);
    free.forEach((i, k) => {
      y[i] = c[k] * v[i];
    });
    lu.solve(y, y);
    let [along, square] = [0, 0];
    for (const i of free) {
      along += y[i] * v[i];
      square += v[i] * v[i];
    }
    distance = square / along;
    const size = Math.max(...free.map((i) => Math.abs(y[i])));
    if (!(size > 0) || !Number.isFinite(size)) return false;
    v = y.map((e) => e / size);
  }
  return Math.abs(distance) < CONFIRMED * s;
}
