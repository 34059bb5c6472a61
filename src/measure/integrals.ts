/** Integrals over a settled period or a run, of the polynomials themselves (Gauss-Legendre, Abramowitz and Stegun 25.4.29). */
import { evaluateOrbit, type Orbit, stepsOf } from '../solve/orbit.ts';

/** Six-point Gauss-Legendre nodes on [0, 1] and weights. */
const HALF = [0.2386191860831969, 0.6612093864662645, 0.9324695142031521];
const WEIGHT = [0.46791393457269104, 0.3607615730481386, 0.17132449237917036];
export const GAUSS = [
  ...HALF.map((h, k) => ({ c: 0.5 - h / 2, w: WEIGHT[k] / 2 })),
  ...HALF.map((h, k) => ({ c: 0.5 + h / 2, w: WEIGHT[k] / 2 })),
];

/** Instants and weights (s) that integrate over the whole span; each step is cut so that a phase of `cycles` turns stays smooth. */
export interface Quadrature {
  time: Float64Array;
  weight: Float64Array;
  /** Step and share of it for each instant. */
  step: Int32Array;
  share: Float64Array;
}

/** A quadrature over an orbit fit for harmonics up to `cycles` per span. */
export function quadratureOf(orbit: Orbit, cycles: number): Quadrature {
  const span = orbit.mesh[stepsOf(orbit)];
  const time: number[] = [];
  const weight: number[] = [];
  const step: number[] = [];
  const share: number[] = [];
  for (let s = 0; s < stepsOf(orbit); s++) {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    const panels = Math.max(1, Math.ceil((2 * cycles * h) / span));
    for (let p = 0; p < panels; p++) {
      for (const { c, w } of GAUSS) {
        const at = (p + c) / panels;
        time.push(orbit.mesh[s] + at * h);
        weight.push((w * h) / panels);
        step.push(s);
        share.push(at);
      }
    }
  }
  return { time: Float64Array.from(time), weight: Float64Array.from(weight), step: Int32Array.from(step), share: Float64Array.from(share) };
}

/** Values of all unknowns at the instants of a quadrature, instant after instant (instants x n). */
export function valuesAt(orbit: Orbit, quadrature: Quadrature, nodes: number): Float64Array {
  const out = new Float64Array(quadrature.time.length * orbit.n);
  for (let k = 0; k < quadrature.time.length; k++) {
    evaluateOrbit(orbit, quadrature.step[k], quadrature.share[k], nodes, out.subarray(k * orbit.n, (k + 1) * orbit.n));
  }
  return out;
}
