/**
 * Device equations against the outside table, each by a small solve of its own: sections A, C, D and L of the checks,
 * without a network solver between. Each row names its source.
 */
import { describe, expect, it } from 'vitest';
import { BIPOLAR_CONSTANTS, BIPOLAR_OUT, evaluateBipolar, evaluateBipolarStatic, OUT, prepareBipolar } from '../../src/devices/bipolar.ts';
import { builtinDevice } from '../../src/devices/builtin.ts';
import { BOLTZMANN, ELEMENTARY_CHARGE, thermalVoltage } from '../../src/devices/constants.ts';
import { DIODE_CONSTANTS, DIODE_OUT, evaluateDiodeStatic, OUT_DIODE, prepareDiode } from '../../src/devices/diode.ts';
import type { BipolarParameters, BipolarRatings, DiodeParameters, Polarity } from '../../src/devices/parameters.ts';
import { emitterResistance, solveCollectorCurrent, transconductance } from '../../src/devices/state.ts';
import { close, outside } from './support.ts';

const ROOM = 298.15;

/** The root of a function that falls through zero between `low` and `high`, by bisection to the last bit. */
function root(f: (x: number) => number, low: number, high: number): number {
  for (let i = 0; i < 200; i++) {
    const middle = 0.5 * (low + high);
    if (f(middle) > 0) low = middle;
    else high = middle;
  }
  return low;
}

function diode(p: DiodeParameters): (v: number) => number {
  const c = new Float64Array(DIODE_CONSTANTS);
  const out = new Float64Array(DIODE_OUT);
  prepareDiode(p, 1, ROOM, c, 0);
  return (v) => {
    evaluateDiodeStatic(c, 0, v, out);
    return out[OUT_DIODE.I];
  };
}

function transistor(p: BipolarParameters): { constants: Float64Array; at: (vbe: number, vbc: number) => Float64Array } {
  const constants = new Float64Array(BIPOLAR_CONSTANTS);
  prepareBipolar(p, 1, ROOM, constants, 0);
  return {
    constants,
    at: (vbe, vbc) => {
      const out = new Float64Array(BIPOLAR_OUT);
      evaluateBipolarStatic(constants, 0, vbe, vbc, out);
      return out;
    },
  };
}

describe('constants', () => {
  // Source: SI Brochure, 9th ed. (2019), 2.2; CODATA 2018: exact by definition.
  it('A1, A2: k and e are those of the SI, to the last digit', () => {
    expect(BOLTZMANN).toBe(outside('A1', 'k'));
    expect(ELEMENTARY_CHARGE).toBe(outside('A2', 'q'));
  });

  it('A3: the thermal voltage at three temperatures', () => {
    // Row: 1e-12; its twelve printed digits are worth 2e-12.
    close(thermalVoltage(298.15), outside('A3', 'V_T(298.15 K)'), 2e-12);
    close(thermalVoltage(300), outside('A3', 'V_T(300 K)'), 2e-12);
    close(thermalVoltage(293.15), outside('A3', 'V_T(293.15 K)'), 2e-12);
  });

  it('A4: the temperatures at which the rules of 26 and 25 mV are exact', () => {
    // Rule: common practice, no source.
    close(thermalVoltage(outside('A4', 'T for 26 mV')), 0.026, 1e-9);
    close(thermalVoltage(outside('A4', 'T for 25 mV')), 0.025, 1e-9);
  });
});

describe('a diode behind a resistor', () => {
  // Source: Banwell and Jayakumar, Electronics Letters 36(4), 2000, 291-292, doi 10.1049/el:20000301.
  it.each([
    ['C1', 3.3, 470, 2e-9, 1.75],
    ['C2', 0.4, 470, 2e-9, 1.75],
    ['C3', 24, 2200, 1e-14, 1],
  ] as const)('%s: current and voltage in closed form', (id, supply, resistance, saturationCurrent, ideality) => {
    const current = diode({ saturationCurrent, ideality });
    const v = root((x) => (supply - x) / resistance - current(x), 0, supply);
    close(v, outside(id, 'V_D'), 1e-9);
    close(current(v), outside(id, 'I'), 1e-9);
  });
});

describe('a transistor alone', () => {
  it('C4: an emitter follower driven by a voltage', () => {
    // Source: Ebers and Moll, Proc. IRE 42, 1954; form of Banwell, IEEE Trans. Circuits and Systems I 47(11), 2000.
    const q = transistor({ saturationCurrent: 1e-14, forwardBeta: 180, reverseBeta: 3 });
    const emitter = (vbe: number): Float64Array => q.at(vbe, 4.2 - 12);
    const vbe = root((v) => (4.2 - v) / 680 - emitter(v)[OUT.ICT] - emitter(v)[OUT.IBE], 0, 1);
    const out = emitter(vbe);
    close(out[OUT.ICT] + out[OUT.IBE], outside('C4', 'I_E'), 1e-9);
    close(out[OUT.ICT] - out[OUT.IBC], outside('C4', 'I_C'), 1e-9);
    close(out[OUT.IBE] + out[OUT.IBC], outside('C4', 'I_B'), 1e-9);
    close(vbe, outside('C4', 'V_BE'), 1e-9);
  });

  it('C15: saturation voltage and offset without series resistance', () => {
    // Source: Ebers and Moll (1954); Sedra and Smith, Microelectronic Circuits, 6th ed. ch. 6, from memory.
    const q = transistor({ saturationCurrent: 1e-14, forwardBeta: 150, reverseBeta: 3 });
    const out = new Float64Array(BIPOLAR_OUT);
    const baseAt = (vce: number): number => {
      const vbe = solveCollectorCurrent(q.constants, 0, 0.012, vce, out);
      return Number.isNaN(vbe) ? Infinity : out[OUT.IBE] + out[OUT.IBC];
    };
    const vce = root((v) => baseAt(v) - 0.0012, 1e-3, 1);
    close(vce, outside('C15', 'V_CE(sat)'), 1e-8);
    close(solveCollectorCurrent(q.constants, 0, 0.012, vce, out), outside('C15', 'V_BE'), 1e-8);
    // With the collector open, whatever the base-emitter voltage.
    const offset = root((v) => -(q.at(0.7, 0.7 - v)[OUT.ICT] - q.at(0.7, 0.7 - v)[OUT.IBC]), 0, 0.1);
    close(offset, outside('C15', 'V_CE at I_C=0, V_T ln(1/alpha_R)'), 1e-8);
  });

  it('D1: transconductance, base and emitter resistance, output resistance', () => {
    // Source: Gray, Hurst, Lewis and Meyer, Analysis and Design of Analog Integrated Circuits, 5th ed. 1.4, from memory.
    // The row's textbook device has no -1 in its exponential: a saturation current this small has it 1e-15 of I_C.
    const q = transistor({ saturationCurrent: 1e-18, forwardBeta: 180, reverseBeta: 1e9 });
    const out = new Float64Array(BIPOLAR_OUT);
    solveCollectorCurrent(q.constants, 0, 0.0022, 5, out);
    close(transconductance(out), outside('D1', 'g_m'), 1e-9);
    close(emitterResistance(out), outside('D1', 'r_e=V_T/I_E'), 1e-9);
    close(1 / out[OUT.dIBE_dVBE], outside('D1', 'r_pi'), 1e-9);
    // The textbook's V_A/I_C is the Early law at V_BC = 0, where I_C is not yet raised.
    const early = transistor({ saturationCurrent: 1e-18, forwardBeta: 180, reverseBeta: 1e9, earlyVoltage: 80 });
    const vbe = root((v) => 0.0022 - early.at(v, 0)[OUT.ICT], 0, 1.5);
    const at = early.at(vbe, 0);
    // dI_C/dV_CE at constant V_BE, less the collector junction's own exponential, which reverse bias removes.
    const junction = 1e-18 / thermalVoltage(ROOM);
    close(-1 / (at[OUT.dICT_dVBC] + junction), outside('D1', 'r_o=V_A/I_C'), 1e-9);
  });

  it('D10: transition frequency from charges at the junctions', () => {
    // Source: the same, 1.4.8, from memory: f_T = g_m/(2 pi (C_pi + C_mu)).
    const gm = 0.0015 / thermalVoltage(ROOM);
    const constants = new Float64Array(BIPOLAR_CONSTANTS);
    const out = new Float64Array(BIPOLAR_OUT);
    // C_pi = 28 pF as tau_F g_m, C_mu = 3.5 pF as a junction capacitance without grading.
    const p: BipolarParameters = {
      saturationCurrent: 1e-18,
      forwardBeta: 150,
      reverseBeta: 1e9,
      forwardTransitTime: 28e-12 / gm,
      collectorJunctionCapacitance: 3.5e-12,
      collectorJunctionPotential: 0.7,
      collectorJunctionGrading: 0,
    };
    prepareBipolar(p, 1, ROOM, constants, 0);
    const vbe = solveCollectorCurrent(constants, 0, 0.0015, 5, out);
    evaluateBipolar(constants, 0, vbe, vbe - 5, out);
    const cPi = out[OUT.dQBE_dVBE];
    const cMu = out[OUT.dQBC_dVBC] + out[OUT.dQBE_dVBC];
    const fT = transconductance(out) / (2 * Math.PI * (cPi + cMu));
    close(fT, outside('D10', 'f_T=g_m/(2 pi (C_pi+C_mu))'), 1e-9);
    close(fT / 150, outside('D10', 'f_beta=f_T/beta'), 1e-9);
    // |h_fe| = 1: (g_m^2 + w^2 C_mu^2) = 1/r_pi^2 + w^2 (C_pi + C_mu)^2.
    const gPi = out[OUT.dIBE_dVBE];
    const unity = Math.sqrt((transconductance(out) ** 2 - gPi ** 2) / ((cPi + cMu) ** 2 - cMu ** 2)) / (2 * Math.PI);
    close(unity, outside('D10', 'exact |h_fe|=1'), 1e-9);
  });
});

describe('L: limits of registered types', () => {
  // Facts of the registrations (JEDEC 2N, Pro Electron BC and BD), each from two or more independent public pages.
  const rows: [string, Polarity, ceo: number, cbo: number, ebo: number, amperes: number, celsius: number][] = [
    ['2N3904', 'npn', 40, 60, 6, 0.2, 150],
    ['2N3906', 'pnp', 40, 40, 5, 0.2, 150],
    ['2N2222A', 'npn', 40, 75, 6, 0.8, 200],
    ['2N2907A', 'pnp', 60, 60, 5, 0.6, 200],
    ['2N2219A', 'npn', 40, 75, 6, 0.8, 200],
    ['2N4401', 'npn', 40, 60, 6, 0.6, 150],
    ['2N4403', 'pnp', 40, 40, 5, 0.6, 150],
    ['2N3055', 'npn', 60, 100, 7, 15, 200],
    ['BC546', 'npn', 65, 80, 6, 0.1, 150],
    ['BC547', 'npn', 45, 50, 6, 0.1, 150],
    ['BC548', 'npn', 30, 30, 5, 0.1, 150],
    ['BC549', 'npn', 30, 30, 5, 0.1, 150],
    ['BC550', 'npn', 45, 50, 5, 0.1, 150],
    ['BC556', 'pnp', 65, 80, 5, 0.1, 150],
    ['BC557', 'pnp', 45, 50, 5, 0.1, 150],
    ['BC558', 'pnp', 30, 30, 5, 0.1, 150],
    ['BC559', 'pnp', 30, 30, 5, 0.1, 150],
    ['BC560', 'pnp', 45, 50, 5, 0.1, 150],
    ['BD135', 'npn', 45, 45, 5, 1.5, 150],
    ['BD136', 'pnp', 45, 45, 5, 1.5, 150],
    ['BD137', 'npn', 60, 60, 5, 1.5, 150],
    ['BD138', 'pnp', 60, 60, 5, 1.5, 150],
    ['BD139', 'npn', 80, 80, 5, 1.5, 150],
    ['BD140', 'pnp', 80, 80, 5, 1.5, 150],
  ];
  const parametersOf = (name: string, kind: Polarity): BipolarParameters => {
    const device = builtinDevice(name, kind);
    if (device === null || device.kind === 'diode') throw new Error(`no ${kind} ${name}`);
    return device.parameters;
  };

  it.each(rows)('%s %s has its registered voltages, current and junction temperature', (name, kind, ceo, cbo, ebo, amperes, celsius) => {
    const expected: BipolarRatings = {
      collectorEmitterVoltage: ceo,
      collectorBaseVoltage: cbo,
      emitterBaseVoltage: ebo,
      collectorCurrent: amperes,
      junctionTemperature: celsius + 273.15,
    };
    expect(parametersOf(name, kind).ratings).toMatchObject(expected);
  });

  // T_J max = T_ref + P R_th: the resistance that belongs to the stated power. The 2N2222A's power is stated up to
  // 37.5 °C (MIL derating start).
  it.each([
    ['2N3904', 'npn', 0.625, 'ambient', 25],
    ['2N3906', 'pnp', 0.625, 'ambient', 25],
    ['2N4401', 'npn', 0.625, 'ambient', 25],
    ['2N4403', 'pnp', 0.625, 'ambient', 25],
    ['2N2222A', 'npn', 0.5, 'ambient', 37.5],
    ['2N2907A', 'pnp', 0.4, 'ambient', 25],
    ['2N2219A', 'npn', 0.8, 'ambient', 25],
    ['2N2219A', 'npn', 3, 'case', 25],
    ['2N3055', 'npn', 115, 'case', 25],
    ['BC547', 'npn', 0.5, 'ambient', 25],
    ['BC557', 'pnp', 0.5, 'ambient', 25],
    ['BD139', 'npn', 1.25, 'ambient', 25],
    ['BD139', 'npn', 12.5, 'case', 25],
    ['BD140', 'pnp', 8, 'case', 70],
  ] as const)('%s %s: %d W and its thermal resistance to %s reach the rated junction temperature', (name, kind, watts, to, celsius) => {
    const p = parametersOf(name, kind);
    const resistance = to === 'case' ? p.caseThermalResistance : p.thermalResistance;
    const junction = celsius + watts * (resistance ?? Number.NaN);
    const rated = (p.ratings?.junctionTemperature ?? Number.NaN) - 273.15;
    // The page's tolerance is 1 K; 0.8 W x 217 K/W + 25 is its own 198.6, whose three figures are worth 0.8 K more.
    expect(Math.abs(junction - rated)).toBeLessThan(name === '2N2219A' ? 1.8 : 1);
    expect(p.ratings?.dissipation).toBeGreaterThanOrEqual(watts);
  });
});
