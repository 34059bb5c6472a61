/** Self-heating against closed forms: P(T) = a + b (T - ambient) and P(T) = a + c (T - ambient)^2 with one thermal resistance. */
import { describe, expect, it } from 'vitest';
import { RunsAway, settleHeat, type ThermalPaths, temperaturesOf } from './heat.ts';

const AMBIENT = 300;
const one = (own: number): ThermalPaths => ({ ambient: AMBIENT, own: Float64Array.of(own), sinks: [], warm: [0], names: ['Q1'] });

describe('junction temperatures', () => {
  it('settle where a power that grows with the rise meets it: R a / (1 - R b)', () => {
    for (const slope of [-0.02, 0, 0.002, 0.009, 0.0099]) {
      const [t] = settleHeat(one(100), ([kelvin]) => Float64Array.of(0.1 + slope * (kelvin - AMBIENT)));
      expect(t - AMBIENT).toBeCloseTo((100 * 0.1) / (1 - 100 * slope), 4);
    }
  });
  it('are the coolest of two: the lesser root of R (a + c rise^2) = rise', () => {
    const [r, a, c] = [50, 0.4, 2e-4];
    const [t] = settleHeat(one(r), ([kelvin]) => Float64Array.of(a + c * (kelvin - AMBIENT) ** 2));
    expect(t - AMBIENT).toBeCloseTo((1 - Math.sqrt(1 - 4 * r * r * a * c)) / (2 * r * c), 5);
  });
  it('run away where that equation has no root', () => {
    expect(() => settleHeat(one(50), ([kelvin]) => Float64Array.of(0.6 + 2e-4 * (kelvin - AMBIENT) ** 2))).toThrow(RunsAway);
  });
  it('run away where the power doubles faster than the path carries off, and the part is named', () => {
    // R a exp(rise/k) = rise has roots only where R a/k is at most 1/e.
    const withPower = (watts: number) => settleHeat(one(50), ([kelvin]) => Float64Array.of(watts * Math.exp((kelvin - AMBIENT) / 30)));
    const [t] = withPower(0.99 * (30 / 50 / Math.E));
    expect((t - AMBIENT) / 30).toBeLessThan(1);
    let parts: string[] = [];
    try {
      withPower(5 * (30 / 50));
    } catch (e) {
      if (!(e instanceof RunsAway)) throw e;
      parts = e.parts;
    }
    expect(parts).toEqual(['Q1']);
  });
  it('share the rise of a common heat sink and add each its own', () => {
    const paths: ThermalPaths = {
      ambient: AMBIENT,
      own: Float64Array.of(2, 3, 40),
      sinks: [{ resistance: 5, devices: [0, 1] }],
      warm: [0, 1, 2],
      names: ['Q1', 'Q2', 'Q3'],
    };
    expect(Array.from(temperaturesOf(paths, [4, 6, 0.5]))).toEqual([300 + 8 + 50, 300 + 18 + 50, 320]);
  });
});
