import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BIPOLAR_CONSTANTS, BIPOLAR_OUT, evaluateBipolarStatic, OUT, prepareBipolar } from './bipolar.ts';
import { REFERENCE_TEMPERATURE } from './constants.ts';
import type { BipolarParameters } from './parameters.ts';
import { type BipolarFigures, betaAtFiveVolts, bipolarRegion, diodeRegion, junctionDissipation, solveCollectorCurrent } from './state.ts';
import { bipolars, volts } from './testing.ts';

const plain: BipolarParameters = { saturationCurrent: 1e-14, forwardBeta: 100, reverseBeta: 4, emitterBreakdownVoltage: 6 };

function constantsOf(p: BipolarParameters): Float64Array {
  const c = new Float64Array(BIPOLAR_CONSTANTS);
  prepareBipolar(p, 1, REFERENCE_TEMPERATURE, c, 0);
  return c;
}
function figuresAt(vbe: number, vbc: number, p = plain): BipolarFigures {
  const out = new Float64Array(BIPOLAR_OUT);
  evaluateBipolarStatic(constantsOf(p), 0, vbe, vbc, out);
  return {
    transport: out[OUT.ICT],
    baseEmitter: out[OUT.IBE],
    baseCollector: out[OUT.IBC],
    breakdown: out[OUT.IBR],
    vbe,
    vbc,
  };
}

describe('states of a transistor', () => {
  it('exclude each other in the order of their definition', () => {
    const state = (vbe: number, vbc: number): string => bipolarRegion(figuresAt(vbe, vbc), 1e-6, 100);
    expect(state(0.65, -5)).toBe('active');
    expect(state(0.65, 0.62)).toBe('saturated');
    expect(state(0.2, -5)).toBe('off');
    expect(state(-5, 0.65)).toBe('reversed');
    expect(state(-6.2, -12)).toBe('breakdown');
    // Breakdown comes first even where the collector junction conducts.
    expect(state(-6.2, 0.65)).toBe('breakdown');
  });

  it('call a transistor saturated from the point where its gain has halved, and ask for the reference only then', () => {
    // Ebers and Moll: I_C/I_B falls from beta to half of it; find that collector voltage by bisection.
    let low = -5;
    let high = 0.65;
    const gain = (vbc: number): number => {
      const f = figuresAt(0.65, vbc);
      return (f.transport - f.baseCollector) / (f.baseEmitter + f.baseCollector);
    };
    for (let i = 0; i < 60; i++) {
      const middle = 0.5 * (low + high);
      if (gain(middle) > 50) low = middle;
      else high = middle;
    }
    expect(bipolarRegion(figuresAt(0.65, low - 1e-6), 1e-6, 100)).toBe('active');
    expect(bipolarRegion(figuresAt(0.65, high + 1e-6), 1e-6, 100)).toBe('saturated');
    expect(() =>
      bipolarRegion(figuresAt(0.1, -5), 1e-6, () => {
        throw new Error('asked');
      }),
    ).not.toThrow();
  });

  it('do not count a transistor as saturated whose base gives no current', () => {
    expect(bipolarRegion({ transport: 1e-6, baseEmitter: -1e-9, baseCollector: 0, breakdown: 0, vbe: 0.4, vbc: -5 }, 1e-8, 100)).toBe(
      'active',
    );
  });
});

describe('gain at five volts', () => {
  it('is beta of a transistor without further effects', () => {
    for (const current of [1e-6, 1e-3, 1]) expect(betaAtFiveVolts(constantsOf(plain), 0, current)).toBeCloseTo(100, 3);
  });

  it('comes from a solution that carries the current at 5 V, whatever the effects', () => {
    fc.assert(
      fc.property(bipolars, volts(-7, 0), (p, decade) => {
        const wanted = 10 ** decade;
        const c = constantsOf(p);
        const out = new Float64Array(BIPOLAR_OUT);
        const vbe = solveCollectorCurrent(c, 0, wanted, 5, out);
        evaluateBipolarStatic(c, 0, vbe, vbe - 5, out);
        expect((out[OUT.ICT] - out[OUT.IBC]) / wanted).toBeCloseTo(1, 9);
        expect(betaAtFiveVolts(c, 0, wanted)).toBeCloseTo(wanted / (out[OUT.IBE] + out[OUT.IBC]), 6);
      }),
    );
  });

  it('is 0 where leakage alone carries the current', () => {
    expect(betaAtFiveVolts(constantsOf({ ...plain, collectorLeakageCurrent: 1e-6, collectorLeakageIdeality: 1.5 }), 0, 1e-9)).toBe(0);
  });
});

describe('diode states and heat', () => {
  it('tell off, active and breakdown apart', () => {
    expect(diodeRegion(1e-3, 0, 1e-6)).toBe('active');
    expect(diodeRegion(1e-9, 0, 1e-6)).toBe('off');
    expect(diodeRegion(-1e-3, 1e-3, 1e-6)).toBe('breakdown');
  });

  it('make heat of every conduction current, never cold', () => {
    fc.assert(
      fc.property(bipolars, volts(-8, 0.8), volts(-20, 0.8), (p, vbe, vbc) => {
        const f = figuresAt(vbe, vbc, p);
        const terminals = (f.transport - f.baseCollector) * (vbe - vbc) + (f.baseEmitter + f.baseCollector) * vbe;
        expect(Math.abs(junctionDissipation(f) - terminals)).toBeLessThanOrEqual(
          1e-12 * (Math.abs(terminals) + 1e-12) + 1e-14 * Math.abs(f.transport * vbc),
        );
        // With both idealities equal the equations are passive; unequal ones may break that near 0 V.
        if ((p.forwardIdeality ?? 1) === (p.reverseIdeality ?? 1)) expect(junctionDissipation(f)).toBeGreaterThanOrEqual(-1e-18);
      }),
    );
  });
});
