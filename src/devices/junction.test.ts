import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { boundedExp, criticalVoltage, limitJunction } from './junction.ts';
import { volts } from './testing.ts';

const vT = 0.0257;

describe('limiting of a junction step', () => {
  it('takes small steps and everything below the critical voltage whole', () => {
    fc.assert(
      fc.property(volts(-50, 2), volts(-50, 2), (vNew, vOld) => {
        const critical = criticalVoltage(vT, 1e-14);
        const limited = limitJunction(vNew, vOld, vT, critical);
        if (vNew <= critical || Math.abs(vNew - vOld) <= 2 * vT) expect(limited).toBe(vNew);
        // Never beyond what was asked for, never the wrong way.
        expect(limited).toBeLessThanOrEqual(Math.max(vNew, vOld));
        expect(limited).toBeGreaterThanOrEqual(Math.min(vNew, vOld));
      }),
    );
  });

  it('brings Newton to a diode behind a resistor from any start, where the bare iteration overflows', () => {
    fc.assert(
      fc.property(volts(-30, 0.9), volts(1, 100), volts(10, 1e5), volts(-18, -9), (start, supply, resistance, decade) => {
        const saturation = 10 ** decade;
        const critical = criticalVoltage(vT, saturation);
        let v = start;
        let residual = Infinity;
        let steps = 0;
        for (; steps < 200; steps++) {
          const e = boundedExp(v / vT);
          const current = saturation * (e - 1);
          residual = (supply - v) / resistance - current;
          if (Math.abs(residual) <= (1e-12 * supply) / resistance) break;
          const wanted = v + residual / (1 / resistance + (saturation * e) / vT);
          const next = limitJunction(wanted, v, vT, critical);
          if (next === v) break;
          v = next;
        }
        expect(steps).toBeLessThan(60);
        expect(Math.abs(residual)).toBeLessThan((1e-9 * supply) / resistance);
      }),
    );
  });

  it('puts the critical voltage where the characteristic curves most', () => {
    // Curvature of i/(1 A) against v/(1 V): i''/(1 + i'^2)^1.5, largest where i' = 1/sqrt(2).
    const critical = criticalVoltage(vT, 1e-14);
    expect((1e-14 / vT) * Math.exp(critical / vT)).toBeCloseTo(Math.SQRT1_2, 12);
  });
});
