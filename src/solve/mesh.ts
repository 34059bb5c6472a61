/**
 * Meshes that follow the solution: the error of the cubics between stages is estimated from the jumps of their third
 * derivatives (as in de Boor, Good approximation by splines with variable knots, 1973) and spread evenly.
 */
import { pow } from '../numerics/elementary.ts';
import { type Orbit, startValue, stepsOf } from './orbit.ts';
import { NODES, STAGES } from './radau.ts';

/** Largest value of |c (c - c1)(c - c2)(c - 1)|/24 over a step: the cubic's error is this times h^4 times the fourth derivative. */
const CUBIC_ERROR = 0.0181 / 24;
/** Between two corners of the drive there are at least this many steps. */
const LEAST_STEPS = 3;
/** Neighbouring steps differ by at most this factor. */
const GRADING = 3;

/** A mesh of `steps` even steps over the period, with every corner of the drive on it; at least three steps between corners. */
export function evenMesh(period: number, corners: number[], steps: number): { mesh: Float64Array; corner: boolean[] } {
  const borders = bordersOf(period, corners);
  return meshFrom(
    corners,
    (a, b) => Array.from({ length: Math.max(LEAST_STEPS, Math.ceil(((b - a) / period) * steps)) }, () => 1),
    borders,
  );
}

function bordersOf(period: number, corners: number[]): number[] {
  const inside = corners.map((c) => c * period).filter((t) => t > 0 && t < period);
  return [0, ...inside, period];
}

function meshFrom(
  corners: number[],
  sizes: (a: number, b: number) => number[],
  borders: number[],
): { mesh: Float64Array; corner: boolean[] } {
  const mesh: number[] = [0];
  const corner: boolean[] = [];
  for (let k = 1; k < borders.length; k++) {
    const a = borders[k - 1];
    const b = borders[k];
    const parts = sizes(a, b);
    const sum = parts.reduce((s, v) => s + v, 0);
    let t = a;
    parts.forEach((v, i) => {
      corner.push(i === 0 && (k > 1 || corners.includes(0)));
      t += ((b - a) * v) / sum;
      mesh.push(i === parts.length - 1 ? b : t);
    });
  }
  return { mesh: Float64Array.from(mesh), corner };
}

/** Estimated error between the stages of each step, as a share of each node's scale (the worst node counts). */
export function meshErrors(orbit: Orbit, scale: Float64Array): Float64Array {
  const steps = stepsOf(orbit);
  const nodes = scale.length;
  const third = new Float64Array(steps * nodes);
  const [a, b] = NODES;
  for (let s = 0; s < steps; s++) {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    for (let i = 0; i < nodes; i++) {
      const x0 = startValue(orbit, s, i);
      const at = s * STAGES * orbit.n + i;
      const d01 = (orbit.x[at] - x0) / a;
      const d12 = (orbit.x[at + orbit.n] - orbit.x[at]) / (b - a);
      const d23 = (orbit.x[at + 2 * orbit.n] - orbit.x[at + orbit.n]) / (1 - b);
      const d012 = (d12 - d01) / b;
      const d123 = (d23 - d12) / (1 - a);
      third[s * nodes + i] = (6 * (d123 - d012)) / (h * h * h);
    }
  }
  const periodic = orbit.start === undefined;
  const errors = new Float64Array(steps);
  for (let s = 0; s < steps; s++) {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    const neighbours: number[] = [];
    if (!orbit.corner[s] && (s > 0 || periodic)) neighbours.push((s - 1 + steps) % steps);
    const next = (s + 1) % steps;
    if (!orbit.corner[next] && (s + 1 < steps || periodic)) neighbours.push(next);
    for (const r of neighbours) {
      const distance = 0.5 * (h + orbit.mesh[r + 1] - orbit.mesh[r]);
      for (let i = 0; i < nodes; i++) {
        const fourth = Math.abs(third[s * nodes + i] - third[r * nodes + i]) / distance;
        const e = (CUBIC_ERROR * fourth * h * h * h * h) / scale[i];
        if (e > errors[s]) errors[s] = e;
      }
    }
  }
  return errors;
}

/** A mesh on which the errors of this orbit would be even and at most `tolerance`; at most `most` steps. */
export function refinedMesh(
  orbit: Orbit,
  errors: Float64Array,
  corners: number[],
  tolerance: number,
  most: number,
): { mesh: Float64Array; corner: boolean[] } {
  const steps = stepsOf(orbit);
  const period = orbit.mesh[steps];
  // Wanted step length at each old step, kept from changing too fast from one to the next.
  const wanted = Float64Array.from(errors, (e, s) => {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    const factor = Math.sqrt(Math.sqrt(tolerance / Math.max(e, 1e-300)));
    return h * Math.min(4, Math.max(1 / 24, 0.9 * factor));
  });
  for (let round = 0; round < 2; round++) {
    for (let s = 0; s < 2 * steps; s++) {
      const k = s % steps;
      const h = orbit.mesh[k + 1] - orbit.mesh[k];
      const before = wanted[(k - 1 + steps) % steps];
      if (!orbit.corner[k]) wanted[k] = Math.min(wanted[k], before * growth(h, before));
    }
    for (let s = 2 * steps - 1; s >= 0; s--) {
      const k = s % steps;
      const h = orbit.mesh[k + 1] - orbit.mesh[k];
      const after = wanted[(k + 1) % steps];
      if (!orbit.corner[(k + 1) % steps]) wanted[k] = Math.min(wanted[k], after * growth(h, after));
    }
  }
  let density = 0;
  for (let s = 0; s < steps; s++) density += (orbit.mesh[s + 1] - orbit.mesh[s]) / wanted[s];
  const stretch = Math.max(1, density / most);
  const sizes = (from: number, to: number): number[] => {
    // Equal shares of the integral of 1/wanted between two corners.
    const cuts: { t: number; sum: number }[] = [{ t: from, sum: 0 }];
    for (let s = 0; s < steps; s++) {
      const p = Math.max(from, orbit.mesh[s]);
      const q = Math.min(to, orbit.mesh[s + 1]);
      if (q > p) cuts.push({ t: q, sum: cuts[cuts.length - 1].sum + (q - p) / (wanted[s] * stretch) });
    }
    const total = cuts[cuts.length - 1].sum;
    const count = Math.max(LEAST_STEPS, Math.ceil(total));
    const lengths: number[] = [];
    let k = 1;
    let t = from;
    for (let i = 1; i <= count; i++) {
      const goal = (total * i) / count;
      while (k < cuts.length - 1 && cuts[k].sum < goal) k++;
      const share = (goal - cuts[k - 1].sum) / (cuts[k].sum - cuts[k - 1].sum || 1);
      const next = i === count ? to : cuts[k - 1].t + share * (cuts[k].t - cuts[k - 1].t);
      lengths.push(next - t);
      t = next;
    }
    return lengths;
  };
  return meshFrom(corners, sizes, bordersOf(period, corners));
}

/** By how much a wanted step may exceed its neighbour's, given how many of the neighbour's steps fit into the old step. */
function growth(h: number, neighbour: number): number {
  return pow(GRADING, Math.min(8, Math.max(0.3, h / (4 * neighbour))));
}
