/** The static transfer and its limits, against closed forms. */
import { describe, expect, it } from 'vitest';
import { thermalVoltage } from '../devices/constants.ts';
import { findLimits, traceBoth } from './limits.ts';
import { Sweep } from './sweep.ts';
import { stageOf } from './testing.ts';
import { quiescentTransfer } from './transfer.ts';

function sweepOf(text: string) {
  const transfer = quiescentTransfer(stageOf(text), []);
  if (!transfer) throw new Error('the transfer has no solution at rest');
  const sweep = new Sweep(transfer);
  const rest = sweep.at(0, transfer.x);
  if (!rest) throw new Error('rest was not found');
  return { sweep, rest };
}

// Gray, Hurst, Lewis, Meyer, Analysis and Design of Analog Integrated Circuits, 4th ed., 3.5.1: the difference of the
// collector currents is alpha I tanh(V/(2 V_T)). A beta of 1e9 makes alpha 1; R1 turns half the tail into 5 V.
const PAIR =
  'supplies: { vcc: 12 V }\ndevices: { q: { npn: { saturationCurrent: 1e-15, forwardBeta: 1e9, reverseBeta: 1 } } }\nparts:\n  Q1: { npn: q, collector: vcc, base: in, emitter: e }\n  Q2: { npn: q, collector: out, base: gnd, emitter: e }\n  R1: { resistor: 5k, from: vcc, to: out }\n  I1: { current: 1 mA, from: e, to: gnd }\ndrive: { node: in, sourceResistance: 0, waveform: sine, peak: 0.1 V, frequency: 1 kHz }\noutput: out\n';
const VT = thermalVoltage(298.15);

describe('the transfer of a long-tailed pair', () => {
  const { sweep, rest } = sweepOf(PAIR);
  const slopeAt = (v: number): number => 5 / (4 * VT) / Math.cosh(v / (2 * VT)) ** 2;
  const curve = traceBoth(sweep, rest, 0.3);

  it('is the hyperbolic tangent at every point of the trace, with the slope of its derivative', () => {
    const points = [rest, ...curve.up, ...curve.down];
    expect(points.length).toBeGreaterThan(60);
    for (const p of points) {
      expect(Math.abs(p.output - (9.5 + 2.5 * Math.tanh(p.drive / (2 * VT))))).toBeLessThan(2e-8);
      // The slope is that before Newton’s last step, below 1e-7 of 0.7 V at the emitters: 3e-6 of V_T.
      expect(Math.abs(p.slope - slopeAt(p.drive))).toBeLessThan(3e-6 * slopeAt(0) + 1e-8 * slopeAt(p.drive));
    }
    expect(curve.up[curve.up.length - 1].drive).toBe(0.3);
    expect(curve.down[curve.down.length - 1].drive).toBe(-0.3);
    expect([curve.foldedUp, curve.foldedDown]).toEqual([false, false]);
  });
  it('follows its slope: from one point to the next it changes by at most 7 % of the largest', () => {
    for (const side of [curve.up, curve.down])
      for (let k = 1; k < side.length; k++) expect(Math.abs(side[k].slope - side[k - 1].slope)).toBeLessThan(0.0701 * slopeAt(0));
  });
  // 1/cosh^2(u) = s at u = arcosh(1/sqrt(s)).
  it('has its limits where the slope has halved, its flats at a fiftieth, and is unhurt up to nine tenths', () => {
    const limits = findLimits(sweep, curve);
    expect(limits.nil).toBe(false);
    expect(limits.reference).toBeCloseTo(slopeAt(0), 4);
    for (const [limit, sign] of [
      [limits.up, 1],
      [limits.down, -1],
    ] as const) {
      if (!limit?.flat) throw new Error('a limit and a flat should be found');
      const drive = (share: number): number => sign * 2 * VT * Math.acosh(1 / Math.sqrt(share));
      expect(limit.at.drive).toBeCloseTo(drive(0.5), 7);
      expect(limit.flat.drive).toBeCloseTo(drive(0.02), 6);
      expect(limit.before.drive).toBeCloseTo(drive(0.9), 7);
      expect(limit.jumps).toBe(false);
      expect(limit.direction).toBe(sign);
    }
  });
  it('has its roots found between neighbours', () => {
    const k = curve.up.findIndex((p) => p.output > 11);
    const found = sweep.root(curve.up[k - 1], curve.up[k], (p) => p.output - 11);
    expect(found.drive).toBeCloseTo(2 * VT * Math.atanh(1.5 / 2.5), 6);
  });
});

describe('a linear stage', () => {
  it('has no limit', () => {
    const { sweep, rest } = sweepOf(
      'supplies: {}\nparts:\n  R1: { resistor: 1k, from: in, to: out }\n  R2: { resistor: 3k, from: out, to: gnd }\ndrive: { node: in, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\noutput: out\n',
    );
    const limits = findLimits(sweep, traceBoth(sweep, rest, 20));
    expect(limits.reference).toBeCloseTo(0.75, 12);
    expect([limits.up, limits.down, limits.conducts]).toEqual([null, null, null]);
  });
});

describe('a stage that rests in a dead zone', () => {
  // Two diodes back to back in series with a load: each conducts half where its slope is half the largest.
  it('has a conducting range on each side, where the slope of diode and load has half its largest value', () => {
    const IS = 1e-14;
    const R = 1000;
    const { sweep, rest } = sweepOf(
      `supplies: {}\ndevices: { d: { diode: { saturationCurrent: ${IS} } } }\nparts:\n  D1: { diode: d, anode: in, cathode: out }\n  D2: { diode: d, anode: out, cathode: in }\n  R1: { resistor: ${R}, from: out, to: gnd }\ndrive: { node: in, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\noutput: out\n`,
    );
    const reach = 3;
    const curve = traceBoth(sweep, rest, reach);
    const limits = findLimits(sweep, curve);
    expect(limits.nil).toBe(true);
    // Slope R/(R + r) with r = V_T/I: the largest is at the end of the trace, half of it where R I/(R I + V_T) is half that.
    const driveAt = (amperes: number): number => VT * Math.asinh(amperes / (2 * IS)) + R * amperes;
    const end = curve.up[curve.up.length - 1];
    expect(end.drive).toBeCloseTo(driveAt(end.output / R), 8);
    const half = 0.5 * Math.abs(limits.reference);
    const amperes = (VT * half) / (R * (1 - half));
    expect(limits.conducts).toHaveLength(2);
    const [low, high] = limits.conducts ?? [];
    expect(high.from.drive).toBeCloseTo(driveAt(amperes), 6);
    expect(low.to.drive).toBeCloseTo(-driveAt(amperes), 6);
    expect(high.to.drive).toBe(reach);
    expect(low.from.drive).toBe(-reach);
  });
});
