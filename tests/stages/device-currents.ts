/**
 * Terminal currents of devices from their terminal voltages, written afresh from the published equations so that the
 * check shares nothing with the solver. Bipolar: transport-form Gummel-Poon (Gummel and Poon, Bell System Technical
 * Journal 49, 1970); temperature laws as in Gray, Hurst, Lewis and Meyer (from memory). Physical constants: SI, exact.
 */
import type { BipolarParameters, DiodeParameters } from '../../src/devices/parameters.ts';

const BOLTZMANN = 1.380649e-23; // J/K
const CHARGE = 1.602176634e-19; // C
const STATED_AT = 298.15; // K
const BREAKDOWN_CURRENT = 10e-6; // A

/** V. Below this a junction voltage changes no current that anybody could see: 1 GS times it is 1e-11 of an ampere's ulp. */
const FINEST = 1e-20;
/** How often a bracket is widened before the search is given up. */
const WIDENINGS = 400;

/** Widens a bracket of a rising function by doubling its lower end's distance and lifting its upper end, then finds the root. */
function widenedRoot(f: (x: number) => number, low: number, high: number, lift: number): number {
  let a = low;
  let b = high;
  for (let turn = 0; f(a) > 0; turn++) {
    if (turn === WIDENINGS) throw new RangeError('No lower end of the bracket was found.');
    a -= Math.max(Math.abs(a), 0.1);
  }
  for (let turn = 0; f(b) < 0; turn++) {
    if (turn === WIDENINGS) throw new RangeError('No upper end of the bracket was found.');
    b += lift;
  }
  return rootOf(f, a, b);
}

/**
 * Root of a rising function by Brent's method in its bracket (R. P. Brent, Algorithms for Minimization without
 * Derivatives, 1973, ch. 4; from memory): inverse interpolation, with bisection wherever that is not safe.
 */
export function rootOf(f: (x: number) => number, low: number, high: number): number {
  let a = low;
  let b = high;
  let fa = f(a);
  let fb = f(b);
  if (fa > 0 || fb < 0) throw new RangeError(`No root between ${low} and ${high}: ${fa}, ${fb}`);
  let c = a;
  let fc = fa;
  let step = b - a;
  let last = step;
  for (let turn = 0; turn < 300; turn++) {
    if (Math.abs(fc) < Math.abs(fb)) [a, b, c, fa, fb, fc] = [b, c, b, fb, fc, fb];
    const fine = Math.max(2 ** -52 * Math.abs(b), FINEST);
    const half = (c - b) / 2;
    if (Math.abs(half) <= fine || fb === 0) return b;
    if (Math.abs(last) < fine || Math.abs(fa) <= Math.abs(fb)) step = last = half;
    else {
      const s = fb / fa;
      let p: number;
      let q: number;
      if (a === c) {
        p = 2 * half * s;
        q = 1 - s;
      } else {
        const u = fa / fc;
        const r = fb / fc;
        p = s * (2 * half * u * (u - r) - (b - a) * (r - 1));
        q = (u - 1) * (r - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      else p = -p;
      if (2 * p < Math.min(3 * half * q - Math.abs(fine * q), Math.abs(last * q))) {
        last = step;
        step = p / q;
      } else step = last = half;
    }
    a = b;
    fa = fb;
    b += Math.abs(step) > fine ? step : Math.sign(half) * fine;
    fb = f(b);
    if (fb > 0 === fc > 0) {
      c = a;
      fc = fa;
      step = last = b - a;
    }
  }
  throw new Error('The root was not found.');
}

/** Collector, base and emitter current, A, each counted into the collector and base and out of the emitter of an NPN. */
export interface BipolarCurrents {
  collector: number;
  base: number;
  emitter: number;
  /** Largest of the model's own currents, A: what rounding of a voltage acts on, also where they cancel outside. */
  inside: number;
}

interface AtTemperature {
  vt: number;
  is: number;
  bf: number;
  br: number;
  ise: number;
  isc: number;
}
function bipolarAt(p: BipolarParameters, kelvin: number, area: number): AtTemperature {
  const vt = (BOLTZMANN * kelvin) / CHARGE;
  const ratio = kelvin / STATED_AT;
  const rise =
    ratio ** (p.saturationTemperatureExponent ?? 3.2) *
    Math.exp((((p.bandgapVoltage ?? 1.205) * CHARGE) / BOLTZMANN) * (1 / STATED_AT - 1 / kelvin));
  const gain = ratio ** (p.betaTemperatureExponent ?? 0);
  return {
    vt,
    is: area * p.saturationCurrent * rise,
    bf: p.forwardBeta * gain,
    br: p.reverseBeta * gain,
    ise: p.emitterLeakageCurrent ? ((area * p.emitterLeakageCurrent) / gain) * rise ** (1 / (p.emitterLeakageIdeality ?? Number.NaN)) : 0,
    isc: p.collectorLeakageCurrent
      ? ((area * p.collectorLeakageCurrent) / gain) * rise ** (1 / (p.collectorLeakageIdeality ?? Number.NaN))
      : 0,
  };
}

function atJunctions(p: BipolarParameters, t: AtTemperature, area: number, vbe: number, vbc: number): BipolarCurrents {
  const forward = t.is * Math.expm1(vbe / ((p.forwardIdeality ?? 1) * t.vt));
  const reverse = t.is * Math.expm1(vbc / ((p.reverseIdeality ?? 1) * t.vt));
  const q1 = 1 / (1 - (p.earlyVoltage ? vbc / p.earlyVoltage : 0) - (p.reverseEarlyVoltage ? vbe / p.reverseEarlyVoltage : 0));
  const q2 =
    (p.forwardKneeCurrent ? forward / (area * p.forwardKneeCurrent) : 0) +
    (p.reverseKneeCurrent ? reverse / (area * p.reverseKneeCurrent) : 0);
  const transport = (forward - reverse) / ((q1 / 2) * (1 + Math.sqrt(1 + 4 * q2)));
  let emitterSide = forward / t.bf;
  if (t.ise > 0) emitterSide += t.ise * Math.expm1(vbe / ((p.emitterLeakageIdeality ?? 1) * t.vt));
  const broken =
    p.emitterBreakdownVoltage === undefined ? 0 : area * BREAKDOWN_CURRENT * Math.exp(-(vbe + p.emitterBreakdownVoltage) / t.vt);
  emitterSide -= broken;
  let collectorSide = reverse / t.br;
  if (t.isc > 0) collectorSide += t.isc * Math.expm1(vbc / ((p.collectorLeakageIdeality ?? 1) * t.vt));
  return {
    collector: transport - collectorSide,
    base: emitterSide + collectorSide,
    emitter: transport + emitterSide,
    inside: Math.max(Math.abs(forward), Math.abs(reverse), broken, Math.abs(emitterSide), Math.abs(collectorSide)),
  };
}

/**
 * Currents of an NPN (for a PNP reverse voltages and currents) with V_BE and V_BC at its terminals. Behind r_B, r_C and
 * r_E the two junction voltages follow from two equations, solved one inside the other: for a given V_B'E' the equation
 * of the collector junction rises with V_B'C', and the equation of the emitter junction then rises with V_B'E'.
 */
export function bipolarCurrents(p: BipolarParameters, kelvin: number, area: number, vbe: number, vbc: number): BipolarCurrents {
  const t = bipolarAt(p, kelvin, area);
  const rb = (p.baseResistance ?? 0) / area;
  const rc = (p.collectorResistance ?? 0) / area;
  const re = (p.emitterResistance ?? 0) / area;
  if (rb === 0 && rc === 0 && re === 0) return atJunctions(p, t, area, vbe, vbc);
  // Junction voltages lie between the terminal ones, the other junction's and what breakdown or conduction leaves.
  const widest = Math.abs(vbe) + Math.abs(vbc) + Math.abs(vbe - vbc) + 1;
  const most = 1.6;
  const collectorJunction = (x: number): number => {
    if (rb === 0 && rc === 0) return vbc;
    const f = (y: number) => {
      const i = atJunctions(p, t, area, x, y);
      return y + rb * i.base - rc * i.collector - vbc;
    };
    return widenedRoot(f, -widest, Math.min(most, Math.max(vbc, 0) + 0.01), 0.1);
  };
  if (rb === 0 && re === 0) return atJunctions(p, t, area, vbe, collectorJunction(vbe));
  const g = (x: number) => {
    const i = atJunctions(p, t, area, x, collectorJunction(x));
    return x + rb * i.base + re * i.emitter - vbe;
  };
  const least = p.emitterBreakdownVoltage === undefined ? -widest : Math.max(-widest, -p.emitterBreakdownVoltage - 0.6);
  const x = widenedRoot(g, least, Math.min(most, Math.max(vbe, 0) + 0.01), 0.1);
  return atJunctions(p, t, area, x, collectorJunction(x));
}

/** Current of a diode from anode to cathode with `volts` at its terminals, and the largest current inside. */
export function diodeCurrent(p: DiodeParameters, kelvin: number, area: number, volts: number): { current: number; inside: number } {
  const vt = (BOLTZMANN * kelvin) / CHARGE;
  const n = p.ideality ?? 1;
  const is =
    area *
    p.saturationCurrent *
    (kelvin / STATED_AT) ** ((p.saturationTemperatureExponent ?? 3.2) / n) *
    Math.exp((((p.bandgapVoltage ?? 1.205) * CHARGE) / (n * BOLTZMANN)) * (1 / STATED_AT - 1 / kelvin));
  const junction = (v: number): number => {
    const broken = p.breakdownVoltage === undefined ? 0 : area * BREAKDOWN_CURRENT * Math.exp(-(v + p.breakdownVoltage) / vt);
    return is * Math.expm1(v / (n * vt)) - broken;
  };
  const rs = (p.seriesResistance ?? 0) / area;
  if (rs === 0) {
    const current = junction(volts);
    return { current, inside: Math.abs(current) };
  }
  const f = (v: number) => v + rs * junction(v) - volts;
  const least = p.breakdownVoltage === undefined ? Math.min(volts, 0) - 0.01 : Math.max(Math.min(volts, 0) - 0.01, -p.breakdownVoltage - 1);
  const current = junction(widenedRoot(f, least, Math.min(4, Math.max(volts, 0) + 0.01), 0.5));
  return { current, inside: Math.abs(current) };
}
