/**
 * What a set of parameters gives at the test conditions of a data sheet: gain, base voltages, saturation voltage,
 * transition frequency. Magnitudes, at the reference temperature, series resistances included.
 */
import { exp, log } from '../numerics/elementary.ts';
import { BIPOLAR_CONSTANTS, BIPOLAR_OUT, evaluateBipolar, OUT, prepareBipolar } from './bipolar.ts';
import { REFERENCE_TEMPERATURE } from './constants.ts';
import type { BipolarParameters } from './parameters.ts';
import { solveCollectorCurrent, transconductance } from './state.ts';

const LEAST_COLLECTOR_EMITTER = 1e-4; // V
const MOST_COLLECTOR_EMITTER = 5; // V

/** One transistor prepared for repeated questions. */
export class BipolarPredictor {
  private readonly constants = new Float64Array(BIPOLAR_CONSTANTS);
  private readonly out = new Float64Array(BIPOLAR_OUT);
  private readonly p: BipolarParameters;

  constructor(parameters: BipolarParameters) {
    this.p = parameters;
    prepareBipolar(parameters, 1, REFERENCE_TEMPERATURE, this.constants, 0);
  }

  /** Base current and V_B'E' at a collector current and V_C'E'; NaN where none gives it. */
  private inner(collectorCurrent: number, collectorEmitter: number): { base: number; vbe: number } {
    if (!(collectorEmitter > 0)) return { base: NaN, vbe: NaN };
    const vbe = solveCollectorCurrent(this.constants, 0, collectorCurrent, collectorEmitter, this.out);
    return { base: Number.isNaN(vbe) ? NaN : this.out[OUT.IBE] + this.out[OUT.IBC], vbe };
  }

  /**
   * h_FE and V_BE at the terminals.
   * @param collectorCurrent A
   * @param collectorEmitter terminal V_CE, V
   */
  active(collectorCurrent: number, collectorEmitter: number): { gain: number; vbe: number } {
    const rb = this.p.baseResistance ?? 0;
    const rc = this.p.collectorResistance ?? 0;
    const re = this.p.emitterResistance ?? 0;
    let base = 0;
    let vbe = NaN;
    // The base current enters the drop across the emitter resistance: a contraction, its factor is r_E over r_o.
    for (let round = 0; round < 30; round++) {
      const drop = collectorCurrent * rc + (collectorCurrent + base) * re;
      const next = this.inner(collectorCurrent, collectorEmitter - drop);
      vbe = next.vbe;
      const settled = Math.abs(next.base - base) <= 1e-12 * next.base;
      base = next.base;
      if (settled || Number.isNaN(base)) break;
    }
    return { gain: collectorCurrent / base, vbe: vbe + base * rb + (collectorCurrent + base) * re };
  }

  /**
   * V_CE(sat) and V_BE(sat) at the terminals, at a collector current and a base current that more than suffices for it.
   * @returns NaN where the base current does not bring the transistor below 5 V
   */
  saturated(collectorCurrent: number, baseCurrent: number): { vce: number; vbe: number } {
    // The base current falls with V_C'E': bracket, then the Illinois variant of regula falsi in logarithms.
    const misfit = (logarithm: number): number => {
      const { base } = this.inner(collectorCurrent, exp(logarithm));
      return base > 0 ? log(base / baseCurrent) : 100;
    };
    let low = log(LEAST_COLLECTOR_EMITTER);
    let high = log(MOST_COLLECTOR_EMITTER);
    let fLow = misfit(low);
    let fHigh = misfit(high);
    if (!(fLow > 0 && fHigh < 0)) return { vce: NaN, vbe: NaN };
    let side = 0;
    for (let round = 0; round < 100 && high - low > 1e-13; round++) {
      let middle = (low * fHigh - high * fLow) / (fHigh - fLow);
      // A misfit of 100 stands for "no current at all" and is no number to interpolate with.
      if (fLow >= 50 || !(middle > low && middle < high)) middle = 0.5 * (low + high);
      const f = misfit(middle);
      if (Math.abs(f) < 1e-13) {
        low = middle;
        high = middle;
        break;
      }
      if (f > 0) {
        low = middle;
        fLow = f;
        if (side === 1) fHigh /= 2;
        side = 1;
      } else {
        high = middle;
        fHigh = f;
        if (side === -1 && fLow < 50) fLow /= 2;
        side = -1;
      }
    }
    const vce = exp(0.5 * (low + high));
    const { vbe } = this.inner(collectorCurrent, vce);
    const { baseResistance = 0, collectorResistance = 0, emitterResistance = 0 } = this.p;
    const emitterDrop = (collectorCurrent + baseCurrent) * emitterResistance;
    return { vce: vce + collectorCurrent * collectorResistance + emitterDrop, vbe: vbe + baseCurrent * baseResistance + emitterDrop };
  }

  /**
   * The parts of 1/(2 pi f_T) = (C_pi + C_mu)/g_m at a collector current and V_C'E' (Gray, Hurst, Lewis and Meyer, from
   * memory): the share of the forward transit time, per second of it, and the rest.
   */
  transit(collectorCurrent: number, collectorEmitter: number): { delay: number; rest: number; perTransitTime: number } {
    const { vbe } = this.inner(collectorCurrent, collectorEmitter);
    const delayWith = (transitTime: number): number => {
      const c = new Float64Array(BIPOLAR_CONSTANTS);
      prepareBipolar({ ...this.p, forwardTransitTime: transitTime }, 1, REFERENCE_TEMPERATURE, c, 0);
      evaluateBipolar(c, 0, vbe, vbe - collectorEmitter, this.out);
      const capacitance = this.out[OUT.dQBE_dVBE] + this.out[OUT.dQBE_dVBC] + this.out[OUT.dQBC_dVBC];
      return capacitance / transconductance(this.out);
    };
    const rest = delayWith(0);
    return { delay: delayWith(this.p.forwardTransitTime ?? 0), rest, perTransitTime: (delayWith(1e-9) - rest) / 1e-9 };
  }

  /** f_T, Hz. */
  transitionFrequency(collectorCurrent: number, collectorEmitter: number): number {
    return 1 / (2 * Math.PI * this.transit(collectorCurrent, collectorEmitter).delay);
  }
}
