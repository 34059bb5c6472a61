/** Least, largest and mean value of one unknown of an orbit, of its cubics themselves. */
import { type Orbit, startValue, stepsOf } from './orbit.ts';
import { NODES, STAGES, WEIGHTS } from './radau.ts';

/** Least and largest value of unknown i: at the ends of steps, and where the cubic's derivative passes zero. */
export function extremes(orbit: Orbit, i: number): { minimum: number; maximum: number } {
  let minimum = Number.POSITIVE_INFINITY;
  let maximum = Number.NEGATIVE_INFINITY;
  const see = (v: number): void => {
    if (v < minimum) minimum = v;
    if (v > maximum) maximum = v;
  };
  const [a, b] = NODES;
  for (let s = 0; s < stepsOf(orbit); s++) {
    const y0 = startValue(orbit, s, i);
    const at = s * STAGES * orbit.n + i;
    const y1 = orbit.x[at];
    const y2 = orbit.x[at + orbit.n];
    const y3 = orbit.x[at + 2 * orbit.n];
    see(y0);
    see(y3);
    // Newton's divided differences on 0, a, b, 1: y0 + d1 c + d2 c(c - a) + d3 c(c - a)(c - b).
    const d1 = (y1 - y0) / a;
    const e1 = (y2 - y1) / (b - a);
    const e2 = (y3 - y2) / (1 - b);
    const d2 = (e1 - d1) / b;
    const d3 = ((e2 - e1) / (1 - a) - d2) / 1;
    // Derivative: 3 d3 c^2 + (2 d2 - 2 d3 (a + b)) c + d1 - d2 a + d3 a b.
    const p = 3 * d3;
    const q = 2 * d2 - 2 * d3 * (a + b);
    const r = d1 - d2 * a + d3 * a * b;
    const value = (c: number): number => y0 + c * (d1 + (c - a) * (d2 + (c - b) * d3));
    const disc = q * q - 4 * p * r;
    if (disc < 0) continue;
    const t = -0.5 * (q + (q < 0 ? -1 : 1) * Math.sqrt(disc));
    for (const c of [t / p, r / t]) if (c > 0 && c < 1) see(value(c));
  }
  return { minimum, maximum };
}

/** Extremes and mean (by the stages' own quadrature) of unknown i. */
export function extremesOf(orbit: Orbit, i: number): { minimum: number; maximum: number; mean: number } {
  let sum = 0;
  for (let s = 0; s < stepsOf(orbit); s++) {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    for (let k = 0; k < STAGES; k++) sum += WEIGHTS[k] * h * orbit.x[(s * STAGES + k) * orbit.n + i];
  }
  return { ...extremes(orbit, i), mean: sum / orbit.mesh[stepsOf(orbit)] };
}
