/** Fourier components and distortion of a settled waveform, by integrals of the solution itself (terms of IEC 60268-3). */
import { atan2, cos, sin } from '../numerics/elementary.ts';
import type { Quadrature } from './integrals.ts';

export interface Spectrum {
  mean: number;
  fundamental: { magnitude: number; phase: number };
  /** Magnitudes of the 2nd and further harmonics, V peak. */
  harmonics: number[];
  distortion: { relativeToFundamental: number | null; relativeToTotal: number | null };
}

/** A fundamental below this share of the whole alternating part has no distortion to speak of. */
const NO_FUNDAMENTAL = 1e-9;

/**
 * Spectrum of a waveform given at the instants of a quadrature over one period (values[k * stride + at]); `count` is the
 * number of harmonics, the fundamental included. A phase of 0 is a sine that crosses zero upwards at t = 0.
 */
export function spectrumOf(
  quadrature: Quadrature,
  period: number,
  values: Float64Array,
  stride: number,
  at: number,
  count: number,
): Spectrum {
  const { time, weight } = quadrature;
  const omega = (2 * Math.PI) / period;
  let mean = 0;
  for (let k = 0; k < time.length; k++) mean += weight[k] * values[k * stride + at];
  mean /= period;
  const component = (h: number): { s: number; c: number } => {
    let s = 0;
    let c = 0;
    for (let k = 0; k < time.length; k++) {
      const v = (weight[k] * (values[k * stride + at] - mean) * 2) / period;
      const angle = h * omega * time[k];
      s += v * sin(angle);
      c += v * cos(angle);
    }
    return { s, c };
  };
  const first = component(1);
  const magnitude = Math.sqrt(first.s * first.s + first.c * first.c);
  const harmonics: number[] = [];
  for (let h = 2; h <= count; h++) {
    const { s, c } = component(h);
    harmonics.push(Math.sqrt(s * s + c * c));
  }
  let total = 0;
  let rest = 0;
  for (let k = 0; k < time.length; k++) {
    const v = values[k * stride + at] - mean;
    const angle = omega * time[k];
    const r = v - first.s * sin(angle) - first.c * cos(angle);
    total += weight[k] * v * v;
    rest += weight[k] * r * r;
  }
  const totalRms = Math.sqrt(total / period);
  const restRms = Math.sqrt(rest / period);
  const fundamentalRms = magnitude * Math.SQRT1_2;
  const defined = fundamentalRms > NO_FUNDAMENTAL * totalRms && totalRms > 0;
  return {
    mean,
    fundamental: { magnitude, phase: (atan2(first.c, first.s) * 180) / Math.PI },
    harmonics,
    distortion: { relativeToFundamental: defined ? restRms / fundamentalRms : null, relativeToTotal: defined ? restRms / totalRms : null },
  };
}
