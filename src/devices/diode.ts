/**
 * Junction diode in the form the innermost loop uses (equations in the project's physics page). The series resistance
 * is the caller's: voltages are those of the junction itself.
 */
import { BREAKDOWN_CURRENT, thermalVoltage } from './constants.ts';
import {
  boundedExp,
  boundedExpSlope,
  DEPLETION_CONSTANTS,
  depletionCapacitance,
  depletionCharge,
  LARGEST_EXPONENT,
  prepareDepletion,
} from './junction.ts';
import type { DiodeParameters } from './parameters.ts';
import { saturationCurrentRatio } from './temperature.ts';

/** Offsets into the constants of one diode; an effect that is off has 0 in its place. */
export const DIODE = {
  saturationCurrent: 0, // A
  exponent: 1, // 1/(n V_T), 1/V
  breakdownCurrent: 2, // A
  breakdownVoltage: 3, // V
  inverseThermal: 4, // 1/V_T
  thermalVoltage: 5, // V
  transitTime: 6, // s
  depletion: 7,
} as const;

/** Numbers that `prepareDiode` writes. */
export const DIODE_CONSTANTS = 7 + DEPLETION_CONSTANTS;

/** Offsets into the results. */
export const OUT_DIODE = {
  I: 0, // A
  dI: 1, // S
  Q: 2, // C
  dQ: 3, // F
  /** Breakdown current, already taken from I; positive. */
  IBR: 4,
} as const;
/** Numbers that `evaluateDiode` writes: those of OUT_DIODE, then the exponential part and its slope. */
export const DIODE_OUT = 7;
const FORWARD = 5;
const FORWARD_SLOPE = 6;

/**
 * Writes the constants of one diode at one temperature.
 * @param p parameters as stated at 298.15 K
 * @param area multiplies currents and capacitance
 * @param temperature junction temperature, K
 * @param into receives DIODE_CONSTANTS numbers from index `at`
 */
export function prepareDiode(p: DiodeParameters, area: number, temperature: number, into: Float64Array, at: number): void {
  const vT = thermalVoltage(temperature);
  const ideality = p.ideality ?? 1;
  const growth = saturationCurrentRatio(temperature, p.bandgapVoltage, p.saturationTemperatureExponent, ideality);
  into[at + DIODE.saturationCurrent] = area * p.saturationCurrent * growth;
  into[at + DIODE.exponent] = 1 / (ideality * vT);
  into[at + DIODE.breakdownCurrent] = p.breakdownVoltage === undefined ? 0 : area * BREAKDOWN_CURRENT;
  into[at + DIODE.breakdownVoltage] = p.breakdownVoltage ?? 0;
  into[at + DIODE.inverseThermal] = 1 / vT;
  into[at + DIODE.thermalVoltage] = vT;
  into[at + DIODE.transitTime] = p.transitTime ?? 0;
  prepareDepletion(area * (p.junctionCapacitance ?? 0), p.junctionPotential ?? 1, p.junctionGrading ?? 0, into, at + DIODE.depletion);
}

/**
 * Current and slope at a junction voltage; finite for every finite voltage.
 * @param c constants of `prepareDiode`, from index `at`
 * @param v junction voltage, V
 * @param out receives I, dI and IBR of OUT_DIODE; charges are left as they are
 */
export function evaluateDiodeStatic(c: Float64Array, at: number, v: number, out: Float64Array): void {
  const saturation = c[at];
  const exponent = c[at + 1];
  const z = v * exponent;
  const e = boundedExp(z);
  const forward = saturation * (e - 1);
  const forwardSlope = saturation * exponent * boundedExpSlope(z, e);
  let breakdown = 0;
  let slope = forwardSlope;
  const breakdownCurrent = c[at + 2];
  if (breakdownCurrent !== 0) {
    const zb = -(v + c[at + 3]) * c[at + 4];
    const eb = boundedExp(zb);
    breakdown = breakdownCurrent * eb;
    slope += breakdownCurrent * c[at + 4] * boundedExpSlope(zb, eb);
  }
  out[0] = forward - breakdown;
  out[1] = slope;
  out[4] = breakdown;
  out[FORWARD] = forward;
  out[FORWARD_SLOPE] = forwardSlope;
}

/** The same with charge and capacitance (DIODE_OUT numbers). */
export function evaluateDiode(c: Float64Array, at: number, v: number, out: Float64Array): void {
  evaluateDiodeStatic(c, at, v, out);
  const depletion = at + DIODE.depletion;
  const capacitance = depletionCapacitance(c, depletion, v);
  out[2] = c[at + 6] * out[FORWARD] + depletionCharge(c, depletion, v, capacitance);
  out[3] = c[at + 6] * out[FORWARD_SLOPE] + capacitance;
}

/** Whether the voltage lies where the published equation itself holds; see `bipolarWithinModel`. */
export function diodeWithinModel(c: Float64Array, at: number, v: number): boolean {
  if (v * c[at + DIODE.exponent] > LARGEST_EXPONENT) return false;
  if (c[at + DIODE.breakdownCurrent] === 0) return true;
  return -(v + c[at + DIODE.breakdownVoltage]) * c[at + DIODE.inverseThermal] <= LARGEST_EXPONENT;
}
