import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { BipolarDatasheet } from './datasheet.ts';
import { DatasheetError, fitBipolar, fitDiode } from './fit.ts';
import { forwardVoltage } from './fit-diode.ts';
import type { BipolarParameters } from './parameters.ts';
import { BipolarPredictor } from './predict.ts';
import { volts } from './testing.ts';

describe('fit of a transistor', () => {
  it('gets back a device from the figures it gives, for any device of the model', () => {
    const device = fc.record({
      saturationCurrent: volts(-15, -13).map((x) => 10 ** x),
      forwardBeta: volts(60, 500),
      forwardKneeCurrent: volts(0.03, 0.3),
      corner: volts(1e-5, 1e-4),
      collectorResistance: volts(0.5, 4),
    });
    fc.assert(
      fc.property(device, ({ corner, ...p }) => {
        const truth: BipolarParameters = {
          ...p,
          reverseBeta: 4,
          earlyVoltage: 80,
          // Leakage as large as the ideal base current at `corner`.
          emitterLeakageCurrent: (corner / p.forwardBeta) * (p.saturationCurrent / corner) ** (1 / 1.6),
          emitterLeakageIdeality: 1.6,
        };
        const model = new BipolarPredictor(truth);
        const point = (collectorCurrent: number) => ({ collectorCurrent, collectorEmitterVoltage: 5 });
        const sheet: BipolarDatasheet = {
          currentGain: [1e-5, 1e-4, 1e-3, 1e-2, 0.1].map((i) => ({ ...point(i), value: model.active(i, 5).gain })),
          baseEmitterVoltage: [1e-4, 1e-2].map((i) => ({ ...point(i), value: model.active(i, 5).vbe })),
          saturationVoltage: [0.01, 0.1].map((i) => ({ collectorCurrent: i, baseCurrent: i / 10, value: model.saturated(i, i / 10).vce })),
        };
        const report = fitBipolar(sheet, { reverseBeta: 4, earlyVoltage: 80 });
        expect(report.reason).not.toBe('limit');
        expect(report.assumed).toEqual([]);
        // The priors pull a little; what they move is far below the figures' own worth.
        for (const met of report.points) expect(Math.abs(met.met / met.wanted - 1), met.quantity).toBeLessThan(0.02);
        expect(report.parameters.saturationCurrent / truth.saturationCurrent).toBeCloseTo(1, 1);
        expect(Math.abs(report.parameters.forwardBeta / truth.forwardBeta - 1)).toBeLessThan(0.1);
      }),
      { numRuns: 25 },
    );
  });

  it('meets a single gain and base voltage exactly, and says what it assumed', () => {
    const report = fitBipolar({
      currentGain: [{ collectorCurrent: 2e-3, collectorEmitterVoltage: 5, value: 180 }],
      baseEmitterVoltage: [{ collectorCurrent: 2e-3, collectorEmitterVoltage: 5, value: 0.65 }],
      gainRange: [100, 300],
    });
    expect(report.points.map((p) => p.quantity)).toEqual(['h_FE', 'V_BE']);
    expect(report.points[0].met).toBeCloseTo(180, 3);
    expect(report.points[1].met).toBeCloseTo(0.65, 6);
    expect(report.points[0].at).toBe('2 mA, 5 V');
    expect(report.assumed).toEqual(['reverseBeta', 'earlyVoltage']);
    expect(report.parameters.betaRange?.[1]).toBeCloseTo((300 * report.parameters.forwardBeta) / 180, 9);
  });

  it('holds what stands beside the data sheet', () => {
    const report = fitBipolar(
      { currentGain: [{ collectorCurrent: 1e-3, collectorEmitterVoltage: 5, value: 100 }], thermalResistance: 200 },
      { saturationCurrent: 3e-14, earlyVoltage: 60, forwardTransitTime: 1e-9 },
    );
    expect(report.parameters).toMatchObject({
      saturationCurrent: 3e-14,
      earlyVoltage: 60,
      forwardTransitTime: 1e-9,
      thermalResistance: 200,
    });
  });

  it('meets the transition frequency where the junctions allow it, and shows by how much it misses where not', () => {
    const sheet = (picofarads: number): BipolarDatasheet => ({
      currentGain: [{ collectorCurrent: 1e-2, collectorEmitterVoltage: 5, value: 150 }],
      baseEmitterVoltage: [{ collectorCurrent: 1e-2, collectorEmitterVoltage: 5, value: 0.7 }],
      collectorCapacitance: [{ reverseVoltage: 5, value: picofarads * 1e-12 }],
      transitionFrequency: { collectorCurrent: 1e-2, collectorEmitterVoltage: 5, value: 2e8 },
    });
    const possible = fitBipolar(sheet(4)).points.find((p) => p.quantity === 'f_T');
    expect(possible?.met).toBeCloseTo(2e8, 0);
    const impossible = fitBipolar(sheet(1000)).points.find((p) => p.quantity === 'f_T');
    expect(impossible?.met).toBeLessThan(1e8);
  });

  it('refuses figures that cannot place the device, naming the key', () => {
    const refusal = (sheet: BipolarDatasheet): unknown => {
      try {
        return fitBipolar(sheet);
      } catch (error) {
        return error instanceof DatasheetError ? error.path : error;
      }
    };
    expect(refusal({ currentGain: [] })).toBe('currentGain');
    expect(refusal({ currentGain: [{ collectorCurrent: 1e-3, collectorEmitterVoltage: 5, value: 100 }] })).toBe('baseEmitterVoltage');
  });
});

describe('fit of a diode', () => {
  it('gets back a diode from three of its voltages', () => {
    fc.assert(
      fc.property(volts(-13, -8), volts(1.4, 2), volts(0.3, 2), (decade, ideality, seriesResistance) => {
        const truth = { saturationCurrent: 10 ** decade, ideality, seriesResistance };
        const currents = [1e-4, 1e-2, 0.1];
        const report = fitDiode({ forwardVoltage: currents.map((current) => ({ current, value: forwardVoltage(truth, current) })) });
        expect(report.reason).not.toBe('limit');
        for (const p of report.points) expect(Math.abs(p.met - p.wanted)).toBeLessThan(0.005);
        expect(Math.abs((report.parameters.ideality ?? 0) - ideality)).toBeLessThan(0.1);
      }),
      { numRuns: 50 },
    );
  });

  it('meets capacitance, recovery time and breakdown, each in closed form', () => {
    const report = fitDiode({
      forwardVoltage: [{ current: 0.01, value: 0.7 }],
      capacitance: [
        { reverseVoltage: 0, value: 20e-12 },
        { reverseVoltage: 4, value: 9e-12 },
      ],
      recoveryTime: { forwardCurrent: 0.5, reverseCurrent: 1, value: 1e-6 },
      breakdown: { current: 5e-3, value: 6.2 },
    });
    for (const p of report.points) expect(p.met / p.wanted, p.quantity).toBeCloseTo(1, 6);
    expect(report.assumed).toEqual(['ideality']);
    // tau = t_rr / ln(1 + I_F/I_R): charge control, from memory.
    expect(report.parameters.transitTime).toBeCloseTo(1e-6 / Math.log(1.5), 12);
    expect(() => fitDiode({ forwardVoltage: [] })).toThrow(DatasheetError);
  });
});
