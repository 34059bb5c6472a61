import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { REFERENCE_TEMPERATURE, thermalVoltage } from './constants.ts';
import { DIODE_CONSTANTS, DIODE_OUT, diodeWithinModel, evaluateDiode, evaluateDiodeStatic, OUT_DIODE, prepareDiode } from './diode.ts';
import type { DiodeParameters } from './parameters.ts';
import { diodes, slope, temperatures, volts } from './testing.ts';

function constantsOf(p: DiodeParameters, kelvin = REFERENCE_TEMPERATURE, area = 1): Float64Array {
  const c = new Float64Array(DIODE_CONSTANTS);
  prepareDiode(p, area, kelvin, c, 0);
  return c;
}
function at(c: Float64Array, v: number): Float64Array {
  const out = new Float64Array(DIODE_OUT);
  evaluateDiode(c, 0, v, out);
  return out;
}

describe('diode equations', () => {
  it('are those of the physics page, for any effects, temperature and area', () => {
    fc.assert(
      fc.property(diodes, temperatures, volts(0.1, 30), volts(-60, 0.9), (p, kelvin, area, v) => {
        const n = p.ideality ?? 1;
        const vT = thermalVoltage(kelvin);
        const is =
          area *
          p.saturationCurrent *
          (kelvin / 298.15) ** (3.2 / n) *
          Math.exp((1.205 / n) * (1.602176634e-19 / 1.380649e-23) * (1 / 298.15 - 1 / kelvin));
        const forward = is * (Math.exp(v / (n * vT)) - 1);
        const c = constantsOf(p, kelvin, area);
        fc.pre(diodeWithinModel(c, 0, v));
        const breakdown = p.breakdownVoltage ? area * 1e-5 * Math.exp(-(v + p.breakdownVoltage) / vT) : 0;
        const out = at(c, v);
        expect(Math.abs(out[OUT_DIODE.I] - (forward - breakdown))).toBeLessThanOrEqual(2e-12 * (Math.abs(forward) + breakdown) + 1e-44);
        expect(Math.abs(out[OUT_DIODE.IBR] - breakdown)).toBeLessThanOrEqual(2e-12 * breakdown + 1e-44);
        const cj = p.junctionCapacitance ?? 0;
        const vj = p.junctionPotential ?? 1;
        const m = p.junctionGrading ?? 0;
        const d = v - (2 * vj) / 3;
        const capacitance = area * cj * (d > 0 ? 3 ** m * (1 + (3 * m * d) / vj) : (1 - v / vj) ** -m);
        const diffusion = ((p.transitTime ?? 0) * is * Math.exp(v / (n * vT))) / (n * vT);
        expect(Math.abs(out[OUT_DIODE.dQ] - capacitance - diffusion)).toBeLessThanOrEqual(1e-11 * (capacitance + diffusion));
      }),
      { numRuns: 500 },
    );
  });

  it('have the slopes of extrapolated differences', () => {
    fc.assert(
      fc.property(diodes, temperatures, volts(-110, 0.9), (p, kelvin, v) => {
        const c = constantsOf(p, kelvin);
        const h = 0.004;
        fc.pre(Math.abs(v - (2 / 3) * (p.junctionPotential ?? 1)) > 2 * h);
        fc.pre(diodeWithinModel(c, 0, v - h));
        const out = at(c, v);
        const current = slope((x) => at(c, x)[OUT_DIODE.I], v, h);
        const charge = slope((x) => at(c, x)[OUT_DIODE.Q], v, h);
        expect(Math.abs(out[OUT_DIODE.dI] - current.value)).toBeLessThanOrEqual(1e-6 * Math.abs(current.value) + 4 * current.error);
        expect(Math.abs(out[OUT_DIODE.dQ] - charge.value)).toBeLessThanOrEqual(1e-6 * Math.abs(charge.value) + 4 * charge.error);
      }),
      { numRuns: 500 },
    );
  });

  it('carry 10 microamperes at the stated breakdown voltage', () => {
    const out = at(constantsOf({ saturationCurrent: 1e-15, breakdownVoltage: 6.2 }), -6.2);
    expect(out[OUT_DIODE.I]).toBeCloseTo(-1e-5, 12);
  });

  it('stay finite and rising at every voltage, and say where they are continued', () => {
    fc.assert(
      fc.property(diodes, temperatures, fc.oneof(volts(-1e6, 1e6), volts(-50, 50)), (p, kelvin, v) => {
        const c = constantsOf(p, kelvin);
        const out = at(c, v);
        for (const index of Object.values(OUT_DIODE)) expect(Number.isFinite(out[index])).toBe(true);
        expect(out[OUT_DIODE.dI]).toBeGreaterThanOrEqual(0);
        const still = new Float64Array(DIODE_OUT);
        evaluateDiodeStatic(c, 0, v, still);
        expect(still[OUT_DIODE.I]).toBe(out[OUT_DIODE.I]);
        expect(still[OUT_DIODE.dI]).toBe(out[OUT_DIODE.dI]);
      }),
    );
    const c = constantsOf({ saturationCurrent: 1e-15, breakdownVoltage: 6.2 });
    expect(diodeWithinModel(c, 0, 0.8)).toBe(true);
    expect(diodeWithinModel(c, 0, -7)).toBe(true);
    expect(diodeWithinModel(c, 0, 13)).toBe(false);
    expect(diodeWithinModel(c, 0, -30)).toBe(false);
  });
});
