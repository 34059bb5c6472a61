/** The states that devices pass through over a period or a run: stretches with interpolated ends, judged on conduction currents. */
import { dissipations, innerResistors } from '../circuit/device-figures.ts';
import type { Kernel } from '../circuit/kernel.ts';
import type { BipolarRegion } from '../devices/state.ts';
import { evaluateOrbit, type Orbit, orbitAt, stepsOf } from '../solve/orbit.ts';
import { DeviceCharging } from '../solve/orbit-currents.ts';
import { NODES, STAGES, WEIGHTS } from '../solve/radau.ts';
import { judgedCurrent, regionOf, thresholdOver } from './states.ts';

export interface StateStretch {
  /** Device index, transistors first. */
  device: number;
  state: BipolarRegion;
  /** s; `to` lies beyond the period where the stretch runs over its end. */
  from: number;
  to: number;
}

/** What every device did over the span of an orbit. */
export interface DeviceHistory {
  stretches: StateStretch[];
  thresholds: number[];
  /** W, over the span, and the largest, per device. */
  meanPower: Float64Array;
  peakPower: Float64Array;
  /** A: largest current in magnitude of each device's collector (a diode's: through it), charging currents included. */
  peakCurrent: Float64Array;
}

/** Samples inside each step at which states are looked at, besides the stages. */
const BETWEEN = [0.05, 0.1, 0.25, 0.35, 0.5, 0.75, 0.85, 0.95];
/** A value between stages may exceed the stages' largest by this factor. */
const BORNE_OUT = 1.25;
/** Bisections of the border between two states. */
const BISECTIONS = 30;

export function historyOf(kernel: Kernel, orbit: Orbit): DeviceHistory {
  const { network } = kernel;
  const nodes = network.nodes.length;
  const devices = network.transistors.length + network.diodes.length;
  const span = orbit.mesh[stepsOf(orbit)];
  const x = new Float64Array(orbit.n);
  const inner = innerResistors(network);
  const meanPower = new Float64Array(devices);
  const peakConduction = new Float64Array(devices);
  const peakPower = new Float64Array(devices);
  const peakCurrent = new Float64Array(devices);
  const charging = new DeviceCharging(kernel, orbit.n);
  const conducted = new Float64Array(devices);
  const shares = [...NODES, ...BETWEEN].sort((a, b) => a - b);
  const instants: number[] = [];
  for (let s = 0; s < stepsOf(orbit); s++) {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    const power: Float64Array[] = [];
    const lead: Float64Array[] = [];
    for (const c of shares) {
      instants.push(orbit.mesh[s] + c * h);
      evaluateOrbit(orbit, s, c, nodes, x);
      kernel.evaluate(x, null, false);
      power.push(dissipations(kernel, x, inner));
      for (let k = 0; k < devices; k++) conducted[k] = judgedCurrent(kernel, k);
      const stage = NODES.indexOf(c);
      if (stage >= 0) {
        for (let k = 0; k < devices; k++) {
          peakConduction[k] = Math.max(peakConduction[k], Math.abs(conducted[k]));
          meanPower[k] += (WEIGHTS[stage] * h * power[power.length - 1][k]) / span;
        }
      }
      lead.push(
        Float64Array.from(conducted, (i, k) => {
          const [emitter, collector] = charging.at(orbit, s, c, k);
          return Math.abs(k < network.transistors.length ? i - collector : i + emitter);
        }),
      );
    }
    for (let k = 0; k < devices; k++) {
      peakPower[k] = Math.max(peakPower[k], peakOfStep(power, k, shares));
      peakCurrent[k] = Math.max(peakCurrent[k], peakOfStep(lead, k, shares));
    }
  }
  const thresholds = Array.from(peakConduction, thresholdOver);
  const stateAt = (k: number, t: number): BipolarRegion => {
    orbitAt(orbit, t, nodes, x);
    kernel.evaluate(x, null, false);
    return regionOf(kernel, k, thresholds[k]);
  };
  const stretches: StateStretch[] = [];
  const periodic = orbit.start === undefined;
  const states: BipolarRegion[][] = Array.from({ length: devices }, () => []);
  for (const t of instants) {
    orbitAt(orbit, t, nodes, x);
    kernel.evaluate(x, null, false);
    for (let k = 0; k < devices; k++) states[k].push(regionOf(kernel, k, thresholds[k]));
  }
  for (let k = 0; k < devices; k++) stretches.push(...stretchesOf(k, instants, states[k], span, periodic, (t) => stateAt(k, t)));
  return {
    stretches,
    thresholds,
    meanPower,
    peakPower,
    peakCurrent,
  };
}

/**
 * The largest of a step's values. Between the stages a junction's voltage is known to microvolts, which a very steep one
 * turns into any current at all: what is seen there counts only as far as the stages bear it out.
 */
function peakOfStep(values: Float64Array[], k: number, shares: number[]): number {
  let borne = 0;
  let between = 0;
  values.forEach((v, i) => {
    if (NODES.includes(shares[i])) borne = Math.max(borne, v[k]);
    else between = Math.max(between, v[k]);
  });
  return between <= BORNE_OUT * borne ? Math.max(borne, between) : borne;
}

/** Mean power of each device over a settled period, W: what heats its junction. */
export function meanPowers(kernel: Kernel, orbit: Orbit): Float64Array {
  const inner = innerResistors(kernel.network);
  const span = orbit.mesh[stepsOf(orbit)];
  const x = new Float64Array(orbit.n);
  let mean = new Float64Array(0);
  for (let s = 0; s < stepsOf(orbit); s++) {
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    for (let j = 0; j < STAGES; j++) {
      const at = (s * STAGES + j) * orbit.n;
      x.set(orbit.x.subarray(at, at + orbit.n));
      kernel.evaluate(x, null, false);
      const power = dissipations(kernel, x, inner);
      if (mean.length === 0) mean = new Float64Array(power.length);
      for (let k = 0; k < power.length; k++) mean[k] += (WEIGHTS[j] * h * power[k]) / span;
    }
  }
  return mean;
}

/** Runs of equal states, joined around the period, without the active ones. */
function stretchesOf(
  device: number,
  instants: number[],
  states: BipolarRegion[],
  span: number,
  periodic: boolean,
  stateAt: (t: number) => BipolarRegion,
): StateStretch[] {
  const count = states.length;
  const starts: { at: number; state: BipolarRegion }[] = [];
  const border = (a: number, b: number, state: BipolarRegion): number => {
    let low = a;
    let high = b;
    for (let k = 0; k < BISECTIONS; k++) {
      const mid = 0.5 * (low + high);
      if (stateAt(periodic ? mid % span : mid) === state) low = mid;
      else high = mid;
    }
    return 0.5 * (low + high);
  };
  if (!periodic) starts.push({ at: 0, state: states[0] });
  for (let i = periodic ? 0 : 1; i < count; i++) {
    const before = (i - 1 + count) % count;
    if (states[before] === states[i]) continue;
    const a = i === 0 ? instants[before] - span : instants[before];
    const at = i === 0 ? border(instants[before], instants[0] + span, states[before]) % span : border(a, instants[i], states[before]);
    starts.push({ at, state: states[i] });
  }
  if (starts.length === 0) return states[0] === 'active' ? [] : [{ device, state: states[0], from: 0, to: span }];
  starts.sort((p, q) => p.at - q.at);
  return starts.flatMap((s, i) => {
    if (s.state === 'active') return [];
    const next = starts[i + 1]?.at ?? (periodic ? starts[0].at + span : span);
    return [{ device, state: s.state, from: s.at, to: next }];
  });
}
