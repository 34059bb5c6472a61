import { describe, expect, it } from 'vitest';
import type { Part, Sheet } from '../../src/sheet/types.ts';
import { bipolarCurrents, diodeCurrent, rootOf } from './device-currents.ts';
import { kirchhoffResidual } from './kirchhoff.ts';

const T0 = 298.15;
const sheetOf = (parts: Part[], volts: number): Sheet => ({
  title: '',
  notes: '',
  ambient: T0,
  supplies: [{ node: 'vcc', volts, resistance: 0, inductance: 0 }],
  parts,
  devices: [],
  heatSinks: [],
  loads: [],
  targets: {},
  series: { resistors: 'E24', capacitors: 'E6' },
  spread: {},
  captures: [],
});

describe('device currents of the independent judge', () => {
  it('gives a diode behind its series resistance the current of the Lambert W form', () => {
    // Banwell and Jayakumar, Electronics Letters 36(4):291-292 (2000): V = 3.3 V, R = 470 ohm, I_S = 2 nA, n = 1.75.
    const parameters = { saturationCurrent: 2e-9, ideality: 1.75, seriesResistance: 470 };
    expect(diodeCurrent(parameters, T0, 1, 3.3).current / 0.00560111510207).toBeCloseTo(1, 10);
    expect(diodeCurrent(parameters, T0, 1, 0.4).current / 1.27818035143e-5).toBeCloseTo(1, 10);
  });
  it('survives the exponent of 934 that overflows a double', () => {
    // Wright omega form (Lawrence, Corless and Jeffrey, ACM TOMS algorithm 917, 2012): 24 V, 2200 ohm, I_S = 1e-14 A.
    expect(diodeCurrent({ saturationCurrent: 1e-14, seriesResistance: 2200 }, T0, 1, 24).current / 0.0105857387797).toBeCloseTo(1, 10);
  });
  it('gives an emitter follower with its resistor inside the device the closed form', () => {
    // Ebers and Moll, Proc. IRE 42:1761 (1954), by Lambert W: V_B = 4.2 V, R_E = 680 ohm, collector at 12 V.
    const i = bipolarCurrents({ saturationCurrent: 1e-14, forwardBeta: 180, reverseBeta: 3, emitterResistance: 680 }, T0, 1, 4.2, 4.2 - 12);
    expect(i.emitter / 0.00515770738233).toBeCloseTo(1, 10);
    // The closed form leaves out the reverse-biased collector junction, I_S/beta_R = 3e-15 A.
    expect(i.base / 2.84956208969e-5).toBeCloseTo(1, 9);
  });
  it('gives a base resistor inside the device the closed form with R_B over beta plus one', () => {
    const parameters = { saturationCurrent: 2e-14, forwardBeta: 150, reverseBeta: 3, emitterResistance: 1800, baseResistance: 33e3 };
    expect(bipolarCurrents(parameters, T0, 1, 5.6, -20).emitter / 0.00244939544132).toBeCloseTo(1, 9);
  });
  it('meets the saturation voltage of Ebers and Moll', () => {
    // I_C = 12 mA with I_B = 1.2 mA: V_BE = 0.722565187276 V, V_CE = 41.3506109057 mV.
    const i = bipolarCurrents(
      { saturationCurrent: 1e-14, forwardBeta: 150, reverseBeta: 3 },
      T0,
      1,
      0.722565187276,
      0.722565187276 - 0.0413506109057,
    );
    expect(i.collector / 0.012).toBeCloseTo(1, 8);
    expect(i.base / 0.0012).toBeCloseTo(1, 8);
  });
  it('scales the saturation current with temperature by the published law', () => {
    // Gray, Hurst, Lewis and Meyer (from memory): ratio 788.224440391 from 25 °C to 75 °C with 1.11 eV and exponent 3.
    const parameters = {
      saturationCurrent: 1e-14,
      forwardBeta: 100,
      reverseBeta: 1,
      bandgapVoltage: 1.11,
      saturationTemperatureExponent: 3,
    };
    // At V_BE = V_BC = large negative only the saturation currents over beta remain: I_B = -I_S (1/beta_F + 1/beta_R).
    expect(bipolarCurrents(parameters, 348.15, 1, -3, -3).base / (-1e-14 * 1.01 * 788.224440391)).toBeCloseTo(1, 9);
  });
});

describe('the independent judge of a quiescent point', () => {
  const transistor: Part = {
    kind: 'npn',
    name: 'Q1',
    device: 'q',
    parameters: { saturationCurrent: 2e-14, forwardBeta: 150, reverseBeta: 3 },
    collector: 'vcc',
    base: 'base',
    emitter: 'out',
    area: 1,
  };
  const stage = sheetOf(
    [
      { kind: 'resistor', name: 'R1', resistance: 68e3, from: 'vcc', to: 'base' },
      { kind: 'resistor', name: 'R2', resistance: 27e3, from: 'base', to: 'gnd' },
      transistor,
      { kind: 'resistor', name: 'R3', resistance: 1200, from: 'out', to: 'gnd' },
    ],
    14,
  );
  /** The same stage by two nested one-dimensional roots: emitter for a given base, then base. */
  const solved = (() => {
    const currents = (vb: number, ve: number) =>
      bipolarCurrents({ saturationCurrent: 2e-14, forwardBeta: 150, reverseBeta: 3 }, T0, 1, vb - ve, vb - 14);
    const emitter = (vb: number) => rootOf((ve) => ve / 1200 - currents(vb, ve).emitter, vb - 1, vb);
    const base = rootOf((vb) => vb / 27e3 + currents(vb, emitter(vb)).base - (14 - vb) / 68e3, 0.7, 10);
    return { vcc: 14, base, out: emitter(base) };
  })();

  it('accepts the biased follower that the closed form solves', () => {
    // Thevenin and Lambert W (Banwell 2000): V_B = 3.65872085642 V, V_E = 3.00238517301 V.
    expect(solved.base).toBeCloseTo(3.65872085642, 9);
    expect(solved.out).toBeCloseTo(3.00238517301, 9);
    const report = kirchhoffResidual(stage, { nodes: solved });
    expect(report.sound, JSON.stringify(report.worst)).toBe(true);
    // The supply sends the divider's current and the collector's.
    expect(report.supplies.vcc).toBeCloseTo((14 - 3.65872085642) / 68e3 + 0.00248541818958, 9);
  });
  it('refuses the same point moved by a nanovolt, and a supply that is not at its voltage', () => {
    expect(kirchhoffResidual(stage, { nodes: { ...solved, out: solved.out + 1e-9 } }).sound).toBe(false);
    const wrong = kirchhoffResidual(stage, { nodes: { ...solved, vcc: 14.000001 } });
    expect(wrong.sound).toBe(false);
    expect(wrong.brokenVoltages[0]?.part).toBe('supply vcc');
  });
  it('refuses a point that leaves a node out', () => {
    expect(() => kirchhoffResidual(stage, { nodes: { vcc: 14, base: 3 } })).toThrow(/out/);
  });
});
