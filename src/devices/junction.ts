/**
 * Parts that every junction shares: the exponential kept finite, the depletion charge, and the limiting of a Newton
 * step across an exponential.
 */
import { exp, log } from '../numerics/elementary.ts';

/**
 * Largest exponent for which the exponential itself is used. Beyond it value and slope go on linearly, so that no
 * voltage a solver tries overflows. No accepted solution lies there: exp(500) times any saturation current is
 * more than any source gives.
 */
export const LARGEST_EXPONENT = 500;
const LARGEST_EXPONENTIAL = exp(LARGEST_EXPONENT);
/** Below this the exponential is smaller than 4e-44 and counts as 0: nothing beside the 1 taken from it. Saves its cost. */
const LEAST_EXPONENT = -100;

/** exp(z), continued along its tangent above LARGEST_EXPONENT. */
export function boundedExp(z: number): number {
  if (z > LARGEST_EXPONENT) return LARGEST_EXPONENTIAL * (1 + (z - LARGEST_EXPONENT));
  return z < LEAST_EXPONENT ? 0 : exp(z);
}

/** Slope of `boundedExp` at z, given its value there. */
export function boundedExpSlope(z: number, value: number): number {
  return z > LARGEST_EXPONENT ? LARGEST_EXPONENTIAL : value;
}

/** Numbers that `prepareDepletion` writes. */
export const DEPLETION_CONSTANTS = 8;
const C0 = 0;
const INVERSE_POTENTIAL = 1;
const GRADING = 2;
const CORNER = 3;
const CORNER_CAPACITANCE = 4;
const CORNER_SLOPE = 5;
const CORNER_CHARGE = 6;
const CHARGE_SCALE = 7;

/**
 * Constants of a depletion charge: C_j (1 - V/V_j)^-m up to V = 2 V_j/3, along its tangent above.
 * @param capacitance zero-bias capacitance C_j, F; 0 switches the charge off
 * @param potential V_j, V
 * @param grading m
 */
export function prepareDepletion(capacitance: number, potential: number, grading: number, into: Float64Array, at: number): void {
  into[at + C0] = capacitance;
  if (capacitance === 0) return;
  const steep = capacitance * exp(grading * log(3));
  into[at + INVERSE_POTENTIAL] = 1 / potential;
  into[at + GRADING] = grading;
  into[at + CORNER] = (2 / 3) * potential;
  into[at + CORNER_CAPACITANCE] = steep;
  into[at + CORNER_SLOPE] = (3 * grading * steep) / potential;
  into[at + CHARGE_SCALE] = grading === 1 ? -capacitance * potential : (capacitance * potential) / (1 - grading);
  into[at + CORNER_CHARGE] = grading === 1 ? capacitance * potential * log(3) : into[at + CHARGE_SCALE] * (1 - exp((grading - 1) * log(3)));
}

/** Capacitance dQ/dV of a depletion charge, F. */
export function depletionCapacitance(c: Float64Array, at: number, v: number): number {
  if (c[at + C0] === 0) return 0;
  const beyond = v - c[at + CORNER];
  if (beyond > 0) return c[at + CORNER_CAPACITANCE] + c[at + CORNER_SLOPE] * beyond;
  return c[at + C0] * exp(-c[at + GRADING] * log(1 - v * c[at + INVERSE_POTENTIAL]));
}

/**
 * Depletion charge at v, its integral from 0, C.
 * @param capacitance what `depletionCapacitance` gave at the same v: the power is not computed twice
 */
export function depletionCharge(c: Float64Array, at: number, v: number, capacitance: number): number {
  if (c[at + C0] === 0) return 0;
  const beyond = v - c[at + CORNER];
  if (beyond > 0) {
    return c[at + CORNER_CHARGE] + beyond * (c[at + CORNER_CAPACITANCE] + 0.5 * c[at + CORNER_SLOPE] * beyond);
  }
  const u = 1 - v * c[at + INVERSE_POTENTIAL];
  if (c[at + GRADING] === 1) return c[at + CHARGE_SCALE] * log(u);
  return c[at + CHARGE_SCALE] * (1 - (u * capacitance) / c[at + C0]);
}

/**
 * Voltage at which a junction's characteristic curves most, V_T ln(V_T/(sqrt(2) I_S)): above it a Newton step in
 * voltage overshoots, below it the exponential is as good as straight.
 * @param vT thermal voltage times ideality, V
 * @param saturationCurrent A
 */
export function criticalVoltage(vT: number, saturationCurrent: number): number {
  return vT * log(vT / (Math.SQRT2 * saturationCurrent));
}

/**
 * Limits the step of a junction voltage in a Newton iteration: above the critical voltage the step that the linearised
 * junction asked for in voltage is taken in current instead, which grows logarithmically with it. The idea is that of
 * the early circuit-analysis literature (Nagel, University of California memorandum ERL-M520, 1975, from memory); the
 * form is ours. It changes no solution: where a step is small it is taken whole.
 * @param vNew voltage the iteration asks for, V
 * @param vOld voltage of the last evaluation, V
 * @param vT thermal voltage times ideality, V
 * @param vCritical from `criticalVoltage`
 * @returns voltage to evaluate at, V
 */
export function limitJunction(vNew: number, vOld: number, vT: number, vCritical: number): number {
  if (vNew <= vCritical || Math.abs(vNew - vOld) <= 2 * vT) return vNew;
  if (vOld > vCritical) {
    const step = (vNew - vOld) / vT;
    // Upwards: the linearised current at vNew is 1 + step times that at vOld; find the voltage that carries it.
    if (step > 0) return vOld + vT * log(1 + step);
    // Downwards the straight line asks for a current below zero, which no voltage carries: fall, but gently.
    return Math.max(vNew, vOld - 2 * vT * (1 + log(1 - step)));
  }
  // From below: at the critical voltage the line asks for this current.
  return vCritical + vT * log(1 + (vNew - vCritical) / vT);
}
