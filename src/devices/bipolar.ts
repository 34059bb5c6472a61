/**
 * Bipolar transistor, transport form (Gummel and Poon, Bell System Technical Journal 49, 1970; equations in the
 * project's physics page), in the form the innermost loop uses: constants in a typed array, results into another, no
 * allocation. NPN convention at the internal junctions: a PNP's caller reverses voltages, currents and charges.
 */

import { pow } from '../numerics/elementary.ts';
import { BREAKDOWN_CURRENT, REFERENCE_TEMPERATURE, thermalVoltage } from './constants.ts';
import {
  boundedExp,
  boundedExpSlope,
  DEPLETION_CONSTANTS,
  depletionCapacitance,
  depletionCharge,
  LARGEST_EXPONENT,
  prepareDepletion,
} from './junction.ts';
import type { BipolarParameters } from './parameters.ts';
import { saturationCurrentRatio } from './temperature.ts';

/** Offsets into the constants of one device; an effect that is off has 0 in its place. */
export const BIPOLAR = {
  saturationCurrent: 0, // I_S, A
  forwardExponent: 1, // 1/(n_F V_T), 1/V
  reverseExponent: 2, // 1/(n_R V_T)
  inverseForwardBeta: 3,
  inverseReverseBeta: 4,
  inverseEarly: 5, // 1/V_A
  inverseReverseEarly: 6, // 1/V_B
  inverseForwardKnee: 7, // 1/I_KF, 1/A
  inverseReverseKnee: 8,
  emitterLeakage: 9, // I_SE, A
  emitterLeakageExponent: 10,
  collectorLeakage: 11, // I_SC, A
  collectorLeakageExponent: 12,
  breakdownCurrent: 13, // A
  breakdownVoltage: 14, // V
  inverseThermal: 15, // 1/V_T
  thermalVoltage: 16, // V
  forwardTransitTime: 17, // s
  reverseTransitTime: 18,
  emitterDepletion: 19,
  collectorDepletion: 19 + DEPLETION_CONSTANTS,
} as const;

/** Numbers that `prepareBipolar` writes. */
export const BIPOLAR_CONSTANTS = 19 + 2 * DEPLETION_CONSTANTS;

/** Offsets into the results: currents in A, slopes in S, charges in C, capacitances in F. */
export const OUT = {
  ICT: 0,
  IBE: 1,
  IBC: 2,
  dICT_dVBE: 3,
  dICT_dVBC: 4,
  dIBE_dVBE: 5,
  dIBC_dVBC: 6,
  QBE: 7,
  QBC: 8,
  dQBE_dVBE: 9,
  dQBE_dVBC: 10,
  dQBC_dVBC: 11,
  /** Breakdown current of the emitter junction, already taken from IBE; positive. */
  IBR: 12,
} as const;

/** Numbers that `evaluateBipolar` writes: those of OUT, then intermediate ones that its charges use. */
export const BIPOLAR_OUT = 20;
const FORWARD = 13; // I_F
const FORWARD_SLOPE = 14;
const REVERSE = 15; // I_R
const REVERSE_SLOPE = 16;
const INVERSE_CHARGE = 17; // 1/q_b
const CHARGE_BY_VBE = 18; // d ln q_b / dV_BE
const CHARGE_BY_VBC = 19;

/** Below this the denominator of q1 is continued: 1/d goes on along its tangent, so q1 stays positive and smooth. */
const LEAST_EARLY_DENOMINATOR = 0.05;
/** Least value of 1 + 4 q2; only knee currents near the saturation current itself come near it. */
const LEAST_KNEE_RADICAND = 1e-6;

const reciprocal = (value: number | undefined): number => (value === undefined ? 0 : 1 / value);

/**
 * Writes the constants of one transistor at one temperature.
 * @param p parameters as stated at 298.15 K
 * @param area multiplies currents and capacitances
 * @param temperature junction temperature, K
 * @param into receives BIPOLAR_CONSTANTS numbers from index `at`
 */
export function prepareBipolar(p: BipolarParameters, area: number, temperature: number, into: Float64Array, at: number): void {
  const vT = thermalVoltage(temperature);
  const growth = saturationCurrentRatio(temperature, p.bandgapVoltage, p.saturationTemperatureExponent, 1);
  const betaGrowth = pow(temperature / REFERENCE_TEMPERATURE, p.betaTemperatureExponent ?? 0);
  const leakage = (current: number | undefined, ideality: number): number =>
    current === undefined ? 0 : (area * current * pow(growth, 1 / ideality)) / betaGrowth;
  const set = (index: number, value: number): void => {
    into[at + index] = value;
  };
  set(BIPOLAR.saturationCurrent, area * p.saturationCurrent * growth);
  set(BIPOLAR.forwardExponent, 1 / ((p.forwardIdeality ?? 1) * vT));
  set(BIPOLAR.reverseExponent, 1 / ((p.reverseIdeality ?? 1) * vT));
  set(BIPOLAR.inverseForwardBeta, 1 / (p.forwardBeta * betaGrowth));
  set(BIPOLAR.inverseReverseBeta, 1 / (p.reverseBeta * betaGrowth));
  set(BIPOLAR.inverseEarly, reciprocal(p.earlyVoltage));
  set(BIPOLAR.inverseReverseEarly, reciprocal(p.reverseEarlyVoltage));
  set(BIPOLAR.inverseForwardKnee, reciprocal(p.forwardKneeCurrent) / area);
  set(BIPOLAR.inverseReverseKnee, reciprocal(p.reverseKneeCurrent) / area);
  const emitterIdeality = p.emitterLeakageIdeality ?? 1;
  set(BIPOLAR.emitterLeakage, leakage(p.emitterLeakageCurrent, emitterIdeality));
  set(BIPOLAR.emitterLeakageExponent, 1 / (emitterIdeality * vT));
  const collectorIdeality = p.collectorLeakageIdeality ?? 1;
  set(BIPOLAR.collectorLeakage, leakage(p.collectorLeakageCurrent, collectorIdeality));
  set(BIPOLAR.collectorLeakageExponent, 1 / (collectorIdeality * vT));
  set(BIPOLAR.breakdownCurrent, p.emitterBreakdownVoltage === undefined ? 0 : area * BREAKDOWN_CURRENT);
  set(BIPOLAR.breakdownVoltage, p.emitterBreakdownVoltage ?? 0);
  set(BIPOLAR.inverseThermal, 1 / vT);
  set(BIPOLAR.thermalVoltage, vT);
  set(BIPOLAR.forwardTransitTime, p.forwardTransitTime ?? 0);
  set(BIPOLAR.reverseTransitTime, p.reverseTransitTime ?? 0);
  prepareDepletion(
    area * (p.emitterJunctionCapacitance ?? 0),
    p.emitterJunctionPotential ?? 1,
    p.emitterJunctionGrading ?? 0,
    into,
    at + BIPOLAR.emitterDepletion,
  );
  prepareDepletion(
    area * (p.collectorJunctionCapacitance ?? 0),
    p.collectorJunctionPotential ?? 1,
    p.collectorJunctionGrading ?? 0,
    into,
    at + BIPOLAR.collectorDepletion,
  );
}

/**
 * Conduction currents and their slopes at given internal junction voltages; finite for every finite voltage (see
 * `bipolarWithinModel` for where the continuation begins).
 * @param c constants of `prepareBipolar`, from index `at`
 * @param vbe V_B'E', V
 * @param vbc V_B'C', V
 * @param out receives the currents and slopes of OUT; charges are left as they are
 */
export function evaluateBipolarStatic(c: Float64Array, at: number, vbe: number, vbc: number, out: Float64Array): void {
  const saturation = c[at];
  const forwardExponent = c[at + 1];
  const reverseExponent = c[at + 2];
  const zf = vbe * forwardExponent;
  const zr = vbc * reverseExponent;
  const ef = boundedExp(zf);
  const er = boundedExp(zr);
  const forward = saturation * (ef - 1);
  const reverse = saturation * (er - 1);
  const forwardSlope = saturation * forwardExponent * boundedExpSlope(zf, ef);
  const reverseSlope = saturation * reverseExponent * boundedExpSlope(zr, er);

  // Base charge q_b and its logarithmic slopes.
  const inverseEarly = c[at + 5];
  const inverseReverseEarly = c[at + 6];
  const denominator = 1 - vbc * inverseEarly - vbe * inverseReverseEarly;
  let q1 = 1;
  let q1Slope = 1; // -d ln q1 / d denominator
  if (denominator >= LEAST_EARLY_DENOMINATOR) {
    q1 = 1 / denominator;
    q1Slope = q1;
  } else {
    const least = LEAST_EARLY_DENOMINATOR;
    q1 = (2 * least - denominator) / (least * least);
    q1Slope = 1 / (2 * least - denominator);
  }
  let inverseCharge = 1 / q1;
  let byVbe = q1Slope * inverseReverseEarly;
  let byVbc = q1Slope * inverseEarly;
  const inverseForwardKnee = c[at + 7];
  const inverseReverseKnee = c[at + 8];
  if (inverseForwardKnee !== 0 || inverseReverseKnee !== 0) {
    const radicand = 1 + 4 * (forward * inverseForwardKnee + reverse * inverseReverseKnee);
    if (radicand > LEAST_KNEE_RADICAND) {
      const root = Math.sqrt(radicand);
      inverseCharge *= 2 / (1 + root);
      // d ln(1 + root) = 2 dq2 / (root (1 + root))
      const slope = 2 / (root * (1 + root));
      byVbe += slope * forwardSlope * inverseForwardKnee;
      byVbc += slope * reverseSlope * inverseReverseKnee;
    } else {
      inverseCharge *= 2 / (1 + Math.sqrt(LEAST_KNEE_RADICAND));
    }
  }
  const transport = (forward - reverse) * inverseCharge;
  out[0] = transport;
  out[3] = forwardSlope * inverseCharge - transport * byVbe;
  out[4] = -reverseSlope * inverseCharge - transport * byVbc;

  // Base currents.
  let ibe = forward * c[at + 3];
  let ibeSlope = forwardSlope * c[at + 3];
  let ibc = reverse * c[at + 4];
  let ibcSlope = reverseSlope * c[at + 4];
  const emitterLeakage = c[at + 9];
  if (emitterLeakage !== 0) {
    const exponent = c[at + 10];
    const z = vbe * exponent;
    const e = boundedExp(z);
    ibe += emitterLeakage * (e - 1);
    ibeSlope += emitterLeakage * exponent * boundedExpSlope(z, e);
  }
  const collectorLeakage = c[at + 11];
  if (collectorLeakage !== 0) {
    const exponent = c[at + 12];
    const z = vbc * exponent;
    const e = boundedExp(z);
    ibc += collectorLeakage * (e - 1);
    ibcSlope += collectorLeakage * exponent * boundedExpSlope(z, e);
  }
  const breakdownCurrent = c[at + 13];
  let breakdown = 0;
  if (breakdownCurrent !== 0) {
    const z = -(vbe + c[at + 14]) * c[at + 15];
    const e = boundedExp(z);
    breakdown = breakdownCurrent * e;
    ibe -= breakdown;
    ibeSlope += breakdownCurrent * c[at + 15] * boundedExpSlope(z, e);
  }
  out[1] = ibe;
  out[2] = ibc;
  out[5] = ibeSlope;
  out[6] = ibcSlope;
  out[12] = breakdown;
  out[FORWARD] = forward;
  out[FORWARD_SLOPE] = forwardSlope;
  out[REVERSE] = reverse;
  out[REVERSE_SLOPE] = reverseSlope;
  out[INVERSE_CHARGE] = inverseCharge;
  out[CHARGE_BY_VBE] = byVbe;
  out[CHARGE_BY_VBC] = byVbc;
}

/**
 * The same with the charges: Q_BE = tau_F I_F/q_b + depletion, Q_BC = tau_R I_R + depletion, and their slopes.
 * @param out receives all of OUT (BIPOLAR_OUT numbers)
 */
export function evaluateBipolar(c: Float64Array, at: number, vbe: number, vbc: number, out: Float64Array): void {
  evaluateBipolarStatic(c, at, vbe, vbc, out);
  const emitter = at + BIPOLAR.emitterDepletion;
  const collector = at + BIPOLAR.collectorDepletion;
  const emitterCapacitance = depletionCapacitance(c, emitter, vbe);
  const collectorCapacitance = depletionCapacitance(c, collector, vbc);
  const stored = c[at + 17] * out[FORWARD] * out[INVERSE_CHARGE];
  out[7] = stored + depletionCharge(c, emitter, vbe, emitterCapacitance);
  out[9] = c[at + 17] * out[FORWARD_SLOPE] * out[INVERSE_CHARGE] - stored * out[CHARGE_BY_VBE] + emitterCapacitance;
  out[10] = -stored * out[CHARGE_BY_VBC];
  out[8] = c[at + 18] * out[REVERSE] + depletionCharge(c, collector, vbc, collectorCapacitance);
  out[11] = c[at + 18] * out[REVERSE_SLOPE] + collectorCapacitance;
}

/**
 * Whether the voltages lie where the published equations themselves hold: no exponential continued, q1 not continued,
 * the square root of q_b real. The continuations only help an iteration on its way; a solution that lies in them is
 * none, and the solver must refuse it.
 */
export function bipolarWithinModel(c: Float64Array, at: number, vbe: number, vbc: number): boolean {
  const get = (index: number): number => c[at + index];
  if (vbe * get(BIPOLAR.forwardExponent) > LARGEST_EXPONENT || vbc * get(BIPOLAR.reverseExponent) > LARGEST_EXPONENT) return false;
  if (get(BIPOLAR.emitterLeakage) !== 0 && vbe * get(BIPOLAR.emitterLeakageExponent) > LARGEST_EXPONENT) return false;
  if (get(BIPOLAR.collectorLeakage) !== 0 && vbc * get(BIPOLAR.collectorLeakageExponent) > LARGEST_EXPONENT) return false;
  if (get(BIPOLAR.breakdownCurrent) !== 0) {
    if (-(vbe + get(BIPOLAR.breakdownVoltage)) * get(BIPOLAR.inverseThermal) > LARGEST_EXPONENT) return false;
  }
  if (1 - vbc * get(BIPOLAR.inverseEarly) - vbe * get(BIPOLAR.inverseReverseEarly) < LEAST_EARLY_DENOMINATOR) return false;
  const forward = get(BIPOLAR.saturationCurrent) * (boundedExp(vbe * get(BIPOLAR.forwardExponent)) - 1);
  const reverse = get(BIPOLAR.saturationCurrent) * (boundedExp(vbc * get(BIPOLAR.reverseExponent)) - 1);
  const q2 = forward * get(BIPOLAR.inverseForwardKnee) + reverse * get(BIPOLAR.inverseReverseKnee);
  return 1 + 4 * q2 > LEAST_KNEE_RADICAND;
}
