/** Device states and small-signal figures as the project's physics page defines them: judged on conduction currents. */
import { log } from '../numerics/elementary.ts';
import { BIPOLAR, BIPOLAR_OUT, evaluateBipolarStatic, OUT } from './bipolar.ts';

export type BipolarRegion = 'breakdown' | 'reversed' | 'off' | 'saturated' | 'active';
export type DiodeRegion = 'breakdown' | 'off' | 'active';

/** Conduction figures of a transistor in NPN convention: currents in A, internal junction voltages in V. */
export interface BipolarFigures {
  /** I_CT. */
  transport: number;
  /** I_BE, breakdown already taken from it. */
  baseEmitter: number;
  /** I_BC. */
  baseCollector: number;
  /** I_br of the emitter junction, positive. */
  breakdown: number;
  /** V_B'E'. */
  vbe: number;
  /** V_B'C'. */
  vbc: number;
}

/** Share of the reference gain below which a conducting transistor counts as saturated. */
const SATURATED_SHARE = 0.5;

/**
 * State of a transistor.
 * @param threshold current below which it counts as off, A
 * @param referenceBeta I_C/I_B that the device alone gives at the same collector current and V_C'E' = 5 V; a function is
 *   asked only where the answer depends on it (it costs a small solve: `betaAtFiveVolts`)
 */
export function bipolarRegion(
  figures: BipolarFigures,
  threshold: number,
  referenceBeta: number | ((collectorCurrent: number) => number),
): BipolarRegion {
  if (figures.breakdown > threshold) return 'breakdown';
  const collector = figures.transport - figures.baseCollector;
  if (collector < -threshold && figures.vbc > figures.vbe) return 'reversed';
  if (collector < threshold) return 'off';
  const base = figures.baseEmitter + figures.baseCollector;
  // Without base current (leakage carries it all) the gain is beyond any reference.
  if (base <= 0) return 'active';
  const reference = typeof referenceBeta === 'number' ? referenceBeta : referenceBeta(collector);
  return collector < SATURATED_SHARE * reference * base ? 'saturated' : 'active';
}

/**
 * State of a diode.
 * @param current conduction current, A
 * @param breakdown breakdown current, positive, A
 */
export function diodeRegion(current: number, breakdown: number, threshold: number): DiodeRegion {
  if (breakdown > threshold) return 'breakdown';
  return current < threshold ? 'off' : 'active';
}

/** Heat from conduction inside the junctions, W: I_CT V_C'E' + I_BE V_B'E' + I_BC V_B'C'; resistances are the caller's. */
export function junctionDissipation(f: BipolarFigures): number {
  return f.transport * (f.vbe - f.vbc) + f.baseEmitter * f.vbe + f.baseCollector * f.vbc;
}

/** Transconductance dI_C/dV_B'E' at constant V_C'E', S, from results of `evaluateBipolarStatic`. */
export function transconductance(out: Float64Array): number {
  return out[OUT.dICT_dVBE] + out[OUT.dICT_dVBC] - out[OUT.dIBC_dVBC];
}

/** Emitter resistance dV_B'E'/dI_E at constant V_C'E', ohm; Infinity where nothing conducts. */
export function emitterResistance(out: Float64Array): number {
  return 1 / (out[OUT.dICT_dVBE] + out[OUT.dICT_dVBC] + out[OUT.dIBE_dVBE]);
}

/** Most steps of `solveCollectorCurrent`: bisection of its bracket to rounding takes 53. */
const MOST_STEPS = 100;
const LEAST_BASE_VOLTAGE = -0.2; // V
const MOST_BASE_VOLTAGE = 5; // V
const COLLECTOR_EMITTER_REFERENCE = 5; // V

/**
 * Finds V_B'E' at which a device carries a collector current at a given V_C'E'.
 * @param collectorCurrent wanted conduction I_C, A, above 0
 * @param collectorEmitter V_C'E', V, above 0
 * @param out receives the currents and slopes of OUT at the solution
 * @returns V_B'E' in volts; NaN where leakage alone carries more than the wanted current, or no base voltage carries it
 */
export function solveCollectorCurrent(
  c: Float64Array,
  at: number,
  collectorCurrent: number,
  collectorEmitter: number,
  out: Float64Array,
): number {
  const collectorAt = (vbe: number): number => {
    evaluateBipolarStatic(c, at, vbe, vbe - collectorEmitter, out);
    return out[OUT.ICT] - out[OUT.IBC];
  };
  let low = LEAST_BASE_VOLTAGE;
  let high = MOST_BASE_VOLTAGE;
  if (!(collectorAt(low) < collectorCurrent)) return NaN;
  let vbe = Math.min(4, Math.max(0.01, log(1 + collectorCurrent / c[at + BIPOLAR.saturationCurrent]) / c[at + BIPOLAR.forwardExponent]));
  for (let step = 0; step < MOST_STEPS; step++) {
    const current = collectorAt(vbe);
    const slope = transconductance(out);
    // With little V_C'E' the current has a greatest value and falls beyond it, even below zero: too far, then.
    const isBeyond = current > collectorCurrent || !(current > 0 && slope > 0);
    if (isBeyond) high = vbe;
    else low = vbe;
    // Newton on the logarithm of the current, which is nearly straight and bends downwards, so that the iteration comes
    // from below; bisection where that leaves the bracket.
    let next = current > 0 && slope > 0 ? vbe - (log(current / collectorCurrent) * current) / slope : NaN;
    if (Math.abs(next - vbe) <= 2e-16) return vbe;
    if (!(next > low && next < high)) next = 0.5 * (low + high);
    if (next === vbe || high - low < 1e-15) break;
    vbe = next;
  }
  return Math.abs(collectorAt(vbe) - collectorCurrent) <= 1e-9 * collectorCurrent ? vbe : NaN;
}

const scratch = new Float64Array(BIPOLAR_OUT);

/**
 * I_C/I_B that the device alone gives at a collector current and V_C'E' = 5 V, at the temperature of its constants.
 * @param collectorCurrent A, above 0
 * @returns 0 where leakage alone carries the current, so that nothing is called saturated against it
 */
export function betaAtFiveVolts(c: Float64Array, at: number, collectorCurrent: number): number {
  const vbe = solveCollectorCurrent(c, at, collectorCurrent, COLLECTOR_EMITTER_REFERENCE, scratch);
  if (Number.isNaN(vbe)) return 0;
  const base = scratch[OUT.IBE] + scratch[OUT.IBC];
  return base > 0 ? collectorCurrent / base : 0;
}
