/** Zero-bias capacitance and grading of a junction from capacitances at reverse voltages. */
import { exp, log, square } from '../numerics/elementary.ts';
import type { CapacitancePoint } from './datasheet.ts';

/** Usual values of a diffused silicon junction: common practice, no source. */
const USUAL_POTENTIAL = 0.7; // V
const USUAL_GRADING = 0.35;
const LEAST_GRADING = 0.1;
const MOST_GRADING = 0.9;

export interface JunctionFit {
  capacitance: number; // C_j, F
  potential: number; // V_j, V
  grading: number; // m
}

/**
 * Fits C_j (1 + V_R/V_j)^-m: a straight line in logarithms, by least squares.
 * @param points at least one; with one (or with `grading` given) the grading is held
 * @param given what is held
 */
export function fitJunction(points: CapacitancePoint[], given: { potential?: number; grading?: number }): JunctionFit {
  const potential = given.potential ?? USUAL_POTENTIAL;
  const x = points.map((p) => log(1 + p.reverseVoltage / potential));
  const y = points.map((p) => log(p.value));
  const mean = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
  const meanX = mean(x);
  const meanY = mean(y);
  const spread = x.reduce((sum, v) => sum + square(v - meanX), 0);
  let grading = given.grading ?? USUAL_GRADING;
  if (given.grading === undefined && spread > 0) {
    const fitted = -x.reduce((sum, v, i) => sum + (v - meanX) * (y[i] - meanY), 0) / spread;
    grading = Math.min(MOST_GRADING, Math.max(LEAST_GRADING, fitted));
  }
  return { capacitance: exp(meanY + grading * meanX), potential, grading };
}

/** Capacitance C_j (1 + V_R/V_j)^-m at a reverse voltage, F; 0 without a junction capacitance. */
export function capacitanceAt(capacitance = 0, potential = 1, grading = 0, reverseVoltage = 0): number {
  return capacitance * exp(-grading * log(1 + reverseVoltage / potential));
}
