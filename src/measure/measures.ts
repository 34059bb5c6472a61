/** Mean, rms and extremes of a waveform given as cubics, exact for them. */
import { square } from '../numerics/elementary.ts';
import { type Orbit, stepsOf } from '../solve/orbit.ts';
import { extremes } from '../solve/orbit-extremes.ts';
import type { Quadrature } from './integrals.ts';

export interface Measured {
  mean: number;
  minimum: number;
  maximum: number;
  peakToPeak: number;
  rms: number;
}

/** Measures of unknown i; `values` are those of `valuesAt` for the quadrature. */
export function measureUnknown(orbit: Orbit, i: number, quadrature: Quadrature, values: Float64Array): Measured {
  const span = orbit.mesh[stepsOf(orbit)];
  let sum = 0;
  for (let k = 0; k < quadrature.weight.length; k++) sum += quadrature.weight[k] * values[k * orbit.n + i];
  const mean = sum / span;
  let squares = 0;
  for (let k = 0; k < quadrature.weight.length; k++) squares += quadrature.weight[k] * square(values[k * orbit.n + i] - mean);
  const { minimum, maximum } = extremes(orbit, i);
  return { mean, minimum, maximum, peakToPeak: maximum - minimum, rms: Math.sqrt(squares / span + mean * mean) };
}
