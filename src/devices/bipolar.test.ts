import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  BIPOLAR,
  BIPOLAR_CONSTANTS,
  BIPOLAR_OUT,
  bipolarWithinModel,
  evaluateBipolar,
  evaluateBipolarStatic,
  OUT,
  prepareBipolar,
} from './bipolar.ts';
import { REFERENCE_TEMPERATURE, thermalVoltage } from './constants.ts';
import type { BipolarParameters } from './parameters.ts';
import { bipolars, slope, temperatures, volts } from './testing.ts';

function constantsOf(p: BipolarParameters, kelvin = REFERENCE_TEMPERATURE, area = 1): Float64Array {
  const c = new Float64Array(BIPOLAR_CONSTANTS);
  prepareBipolar(p, area, kelvin, c, 0);
  return c;
}
function at(c: Float64Array, vbe: number, vbc: number): Float64Array {
  const out = new Float64Array(BIPOLAR_OUT);
  evaluateBipolar(c, 0, vbe, vbc, out);
  return out;
}

/** The published equations, written down as they stand on the physics page with the library's own functions. */
function published(p: BipolarParameters, kelvin: number, area: number, vbe: number, vbc: number) {
  const vT = thermalVoltage(kelvin);
  const t = kelvin / REFERENCE_TEMPERATURE;
  const growth =
    t ** (p.saturationTemperatureExponent ?? 3.2) *
    Math.exp((p.bandgapVoltage ?? 1.205) * (1.602176634e-19 / 1.380649e-23) * (1 / 298.15 - 1 / kelvin));
  const xb = p.betaTemperatureExponent ?? 0;
  const is = area * p.saturationCurrent * growth;
  const leak = (current: number | undefined, n: number | undefined, v: number): number =>
    current === undefined ? 0 : area * current * t ** -xb * growth ** (1 / (n ?? 1)) * (Math.exp(v / ((n ?? 1) * vT)) - 1);
  const iF = is * (Math.exp(vbe / ((p.forwardIdeality ?? 1) * vT)) - 1);
  const iR = is * (Math.exp(vbc / ((p.reverseIdeality ?? 1) * vT)) - 1);
  const q1 = 1 / (1 - (p.earlyVoltage ? vbc / p.earlyVoltage : 0) - (p.reverseEarlyVoltage ? vbe / p.reverseEarlyVoltage : 0));
  const q2 =
    (p.forwardKneeCurrent ? iF / (area * p.forwardKneeCurrent) : 0) + (p.reverseKneeCurrent ? iR / (area * p.reverseKneeCurrent) : 0);
  const qb = (q1 / 2) * (1 + Math.sqrt(1 + 4 * q2));
  const ibr = p.emitterBreakdownVoltage ? area * 1e-5 * Math.exp(-(vbe + p.emitterBreakdownVoltage) / vT) : 0;
  const depletion = (cj = 0, vj = 1, m = 0, v: number): number => {
    if (v <= (2 * vj) / 3) return ((area * cj * vj) / (1 - m)) * (1 - (1 - v / vj) ** (1 - m));
    const corner = ((cj * vj) / (1 - m)) * (1 - 3 ** (m - 1));
    const d = v - (2 * vj) / 3;
    return area * (corner + cj * 3 ** m * (d + ((3 * m) / vj) * (d * d) * 0.5));
  };
  return {
    ICT: (iF - iR) / qb,
    IBE: iF / (p.forwardBeta * t ** xb) + leak(p.emitterLeakageCurrent, p.emitterLeakageIdeality, vbe) - ibr,
    IBC: iR / (p.reverseBeta * t ** xb) + leak(p.collectorLeakageCurrent, p.collectorLeakageIdeality, vbc),
    QBE:
      ((p.forwardTransitTime ?? 0) * iF) / qb +
      depletion(p.emitterJunctionCapacitance, p.emitterJunctionPotential, p.emitterJunctionGrading, vbe),
    QBC:
      (p.reverseTransitTime ?? 0) * iR +
      depletion(p.collectorJunctionCapacitance, p.collectorJunctionPotential, p.collectorJunctionGrading, vbc),
    IBR: ibr,
    scale: (Math.abs(iF) + Math.abs(iR) + is) / qb,
  };
}

const junctionVolts = volts(-12, 0.95);

describe('transistor equations', () => {
  it('are those of the physics page, for any effects, temperature, area and voltages', () => {
    fc.assert(
      fc.property(bipolars, temperatures, volts(0.1, 30), junctionVolts, junctionVolts, (p, kelvin, area, vbe, vbc) => {
        const out = at(constantsOf(p, kelvin, area), vbe, vbc);
        const want = published(p, kelvin, area, vbe, vbc);
        const near = (got: number, wanted: number, scale: number): void => {
          // Exponentials below 4e-44 count as nothing.
          expect(Math.abs(got - wanted)).toBeLessThanOrEqual(2e-12 * (Math.abs(wanted) + Math.abs(scale)) + 1e-46);
        };
        near(out[OUT.ICT], want.ICT, want.scale);
        near(out[OUT.IBE], want.IBE, want.IBR + area * p.saturationCurrent);
        near(out[OUT.IBC], want.IBC, 0);
        near(out[OUT.QBE], want.QBE, area * 1e-12);
        near(out[OUT.QBC], want.QBC, area * 1e-12);
        near(out[OUT.IBR], want.IBR, 0);
      }),
      { numRuns: 500 },
    );
  });

  it('have the slopes of extrapolated differences', () => {
    fc.assert(
      fc.property(bipolars, temperatures, junctionVolts, junctionVolts, (p, kelvin, vbe, vbc) => {
        const c = constantsOf(p, kelvin);
        const out = at(c, vbe, vbc);
        const h = 0.004;
        const currents = c[BIPOLAR.saturationCurrent] + 0.03 * (out[OUT.dICT_dVBE] - out[OUT.dICT_dVBC]) + out[OUT.IBR];
        // Across a corner of the depletion capacitance the differences do not converge; values there have their own test.
        fc.pre(Math.abs(vbe - (2 / 3) * (p.emitterJunctionPotential ?? 1)) > 2 * h);
        fc.pre(Math.abs(vbc - (2 / 3) * (p.collectorJunctionPotential ?? 1)) > 2 * h);
        const check = (quantity: keyof typeof OUT, derivative: keyof typeof OUT, byVbe: boolean): void => {
          const estimate = slope(
            (v) => at(c, byVbe ? v : vbe, byVbe ? vbc : v)[OUT[quantity]],
            byVbe ? vbe : vbc,
            h,
            quantity.startsWith('I') ? currents : 0,
          );
          const got = out[OUT[derivative]];
          expect(Math.abs(got - estimate.value), `${derivative} ${got} ${estimate.value}`).toBeLessThanOrEqual(
            1e-6 * Math.abs(got) + 4 * estimate.error,
          );
        };
        check('ICT', 'dICT_dVBE', true);
        check('ICT', 'dICT_dVBC', false);
        check('IBE', 'dIBE_dVBE', true);
        check('IBC', 'dIBC_dVBC', false);
        check('QBE', 'dQBE_dVBE', true);
        check('QBE', 'dQBE_dVBC', false);
        check('QBC', 'dQBC_dVBC', false);
      }),
      { numRuns: 500 },
    );
  });

  it('give the same conduction with and without charges, and leave charges alone without', () => {
    fc.assert(
      fc.property(bipolars, junctionVolts, junctionVolts, (p, vbe, vbc) => {
        const c = constantsOf(p);
        const full = at(c, vbe, vbc);
        const still = new Float64Array(BIPOLAR_OUT).fill(7);
        evaluateBipolarStatic(c, 0, vbe, vbc, still);
        for (const key of ['ICT', 'IBE', 'IBC', 'dICT_dVBE', 'dICT_dVBC', 'dIBE_dVBE', 'dIBC_dVBC', 'IBR'] as const) {
          expect(still[OUT[key]]).toBe(full[OUT[key]]);
        }
        for (const key of ['QBE', 'QBC', 'dQBE_dVBE', 'dQBE_dVBC', 'dQBC_dVBC'] as const) expect(still[OUT[key]]).toBe(7);
      }),
    );
  });

  it('carry nothing and hold no charge at zero voltage, but for the breakdown tail', () => {
    fc.assert(
      fc.property(bipolars, temperatures, (p, kelvin) => {
        const out = at(constantsOf(p, kelvin), 0, 0);
        expect(out[OUT.ICT]).toBe(0);
        expect(out[OUT.IBE] + out[OUT.IBR]).toBe(0);
        expect(out[OUT.IBC]).toBe(0);
        expect(out[OUT.QBE]).toBe(0);
        expect(out[OUT.QBC]).toBe(0);
      }),
    );
  });

  it('obey the reciprocity of Ebers and Moll: what either junction injects over the base is I_S, the same for both', () => {
    fc.assert(
      fc.property(volts(0.2, 0.8), volts(1e-17, 1e-11), temperatures, (v, saturationCurrent, kelvin) => {
        const c = constantsOf({ saturationCurrent, forwardBeta: 200, reverseBeta: 3 }, kelvin);
        const forward = at(c, v, 0);
        const reverse = at(c, 0, v);
        expect(forward[OUT.ICT]).toBe(-reverse[OUT.ICT]);
        // alpha_F I_ES = alpha_R I_CS (Ebers and Moll, Proc. IRE 42, 1954, from memory).
        const emitter = forward[OUT.ICT] + forward[OUT.IBE];
        const collector = -reverse[OUT.ICT] + reverse[OUT.IBC];
        const alphaF = 200 / 201;
        const alphaR = 3 / 4;
        expect((alphaF * emitter) / (alphaR * collector)).toBeCloseTo(1, 12);
      }),
    );
  });

  it('have charge, and capacitance, without a jump where the depletion law goes over to its tangent', () => {
    fc.assert(
      fc.property(volts(0.4, 1), volts(0.2, 0.6), (potential, grading) => {
        const c = constantsOf({
          saturationCurrent: 1e-30,
          forwardBeta: 1,
          reverseBeta: 1,
          emitterJunctionCapacitance: 1e-11,
          emitterJunctionPotential: potential,
          emitterJunctionGrading: grading,
          collectorJunctionCapacitance: 1e-11,
          collectorJunctionPotential: potential,
          collectorJunctionGrading: grading,
        });
        const corner = (2 / 3) * potential;
        const below = at(c, corner - 1e-9, corner - 1e-9);
        const above = at(c, corner + 1e-9, corner + 1e-9);
        const step = 2e-9 * 1e-11 * 3 ** grading;
        expect(Math.abs(above[OUT.QBE] - below[OUT.QBE] - step)).toBeLessThan(1e-5 * step);
        expect(above[OUT.dQBE_dVBE] / below[OUT.dQBE_dVBE]).toBeCloseTo(1, 6);
        expect(above[OUT.QBC]).toBe(above[OUT.QBE]);
        // The slope of the capacitance is continuous too: its ratio to the tangent's, 1e-4 V off either way.
        const d = 1e-4;
        const rise = (at(c, corner + d, 0)[OUT.dQBE_dVBE] - at(c, corner, 0)[OUT.dQBE_dVBE]) / d;
        const before = (at(c, corner, 0)[OUT.dQBE_dVBE] - at(c, corner - d, 0)[OUT.dQBE_dVBE]) / d;
        expect(rise / before).toBeCloseTo(1, 2);
      }),
    );
  });

  it('scale with area: currents and charges in proportion at the same voltages', () => {
    fc.assert(
      fc.property(bipolars, volts(0.1, 50), junctionVolts, junctionVolts, (p, area, vbe, vbc) => {
        const one = at(constantsOf(p), vbe, vbc);
        const many = at(constantsOf(p, REFERENCE_TEMPERATURE, area), vbe, vbc);
        for (const key of ['ICT', 'IBE', 'IBC', 'QBE', 'QBC', 'IBR'] as const) {
          // Where terms cancel, rounding is that of the terms: I_F against I_R, breakdown against
          // leakage, and the depletion charge's two.
          const currents = one[OUT.IBR] + one[OUT.dICT_dVBE] - one[OUT.dICT_dVBC] + 1e-14;
          const terms = key.startsWith('Q') ? 1e-9 : currents;
          expect(Math.abs(many[OUT[key]] - area * one[OUT[key]])).toBeLessThanOrEqual(
            area * (1e-11 * Math.abs(one[OUT[key]]) + 1e-14 * terms),
          );
        }
      }),
    );
  });
});

describe('voltages that only an iteration visits', () => {
  it('give finite values and slopes whatever they are', () => {
    const wild = fc.oneof(volts(-1e6, 1e6), volts(-100, 100), volts(-2, 2));
    fc.assert(
      fc.property(bipolars, temperatures, wild, wild, (p, kelvin, vbe, vbc) => {
        const out = at(constantsOf(p, kelvin), vbe, vbc);
        for (const [key, index] of Object.entries(OUT)) expect(Number.isFinite(out[index]), key).toBe(true);
        expect(out[OUT.dIBE_dVBE]).toBeGreaterThanOrEqual(0);
        expect(out[OUT.dIBC_dVBC]).toBeGreaterThanOrEqual(0);
      }),
      { numRuns: 1000 },
    );
  });

  it('are told apart from those where the equations hold', () => {
    const p = { saturationCurrent: 1e-14, forwardBeta: 100, reverseBeta: 2, earlyVoltage: 50, emitterBreakdownVoltage: 6 };
    const c = constantsOf(p);
    expect(bipolarWithinModel(c, 0, 0.7, -10)).toBe(true);
    expect(bipolarWithinModel(c, 0, 0.7, 0.65)).toBe(true);
    expect(bipolarWithinModel(c, 0, -6.3, -10)).toBe(true);
    expect(bipolarWithinModel(c, 0, 13, -10)).toBe(false);
    expect(bipolarWithinModel(c, 0, -25, -10)).toBe(false);
    expect(bipolarWithinModel(constantsOf({ ...p, earlyVoltage: 0.5 }), 0, 0, 0.49)).toBe(false);
    expect(bipolarWithinModel(constantsOf({ ...p, forwardKneeCurrent: 1e-15 }), 0, -1, -1)).toBe(false);
  });

  it('meet the equations without a jump in value or slope', () => {
    const p = { saturationCurrent: 1e-14, forwardBeta: 100, reverseBeta: 2, earlyVoltage: 0.8 };
    const c = constantsOf(p);
    // Where 1 - V_BC/V_A = 0.05.
    const edge = 0.95 * 0.8;
    const below = at(c, 0.5, edge - 1e-9);
    const above = at(c, 0.5, edge + 1e-9);
    expect(above[OUT.ICT] / below[OUT.ICT]).toBeCloseTo(1, 6);
    expect(above[OUT.dICT_dVBC] / below[OUT.dICT_dVBC]).toBeCloseTo(1, 6);
    const limit = 500 / c[BIPOLAR.forwardExponent];
    const under = at(c, limit * (1 - 1e-13), 0);
    const over = at(c, limit * (1 + 1e-13), 0);
    expect(over[OUT.IBE] / under[OUT.IBE]).toBeCloseTo(1, 9);
    expect(over[OUT.dIBE_dVBE] / under[OUT.dIBE_dVBE]).toBeCloseTo(1, 9);
  });
});
