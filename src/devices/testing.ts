/** Helpers of the device tests: random parameter sets, and slopes by extrapolated differences. */
import fc from 'fast-check';
import type { BipolarParameters, DiodeParameters } from './parameters.ts';

/**
 * Slope of f at x by central differences at h, h/2, h/4, h/8, extrapolated to h = 0 (Richardson; Neville's table).
 * @param terms size of the terms that cancel in f, whose rounding shows in the differences
 * @returns the slope, and an estimate of its error including rounding
 */
export function slope(f: (x: number) => number, x: number, h: number, terms = 0): { value: number; error: number } {
  const table: number[] = [];
  let magnitude = terms;
  for (let i = 0; i < 4; i++) {
    const step = h / 2 ** i;
    const a = f(x + step);
    const b = f(x - step);
    magnitude = Math.max(magnitude, Math.abs(a), Math.abs(b));
    table.push((a - b) / (x + step - (x - step)));
  }
  let error = 0;
  for (let level = 1; level < 4; level++) {
    for (let i = 0; i < 4 - level; i++) {
      const before = table[i + 1];
      table[i] = table[i + 1] + (table[i + 1] - table[i]) / (4 ** level - 1);
      if (level === 3) error = Math.abs(table[i] - before);
    }
  }
  return { value: table[0], error: error + (magnitude * 2 ** -48) / (h / 8) };
}

const range = (min: number, max: number): fc.Arbitrary<number> => fc.double({ min, max, noNaN: true, noDefaultInfinity: true });
const decades = (min: number, max: number): fc.Arbitrary<number> => range(min, max).map((x) => 10 ** x);
const maybe = <T>(value: fc.Arbitrary<T>): fc.Arbitrary<T | undefined> => fc.option(value, { nil: undefined });

/** Transistors with any combination of effects, each within what real devices span. */
export const bipolars: fc.Arbitrary<BipolarParameters> = fc.record({
  saturationCurrent: decades(-17, -12),
  forwardBeta: range(10, 800),
  reverseBeta: range(0.2, 20),
  forwardIdeality: maybe(range(0.98, 1.3)),
  reverseIdeality: maybe(range(0.98, 1.3)),
  earlyVoltage: maybe(range(15, 200)),
  reverseEarlyVoltage: maybe(range(4, 50)),
  forwardKneeCurrent: maybe(decades(-3, 1)),
  reverseKneeCurrent: maybe(decades(-3, 1)),
  emitterLeakageCurrent: maybe(decades(-16, -11)),
  emitterLeakageIdeality: range(1.3, 2.2),
  collectorLeakageCurrent: maybe(decades(-16, -11)),
  collectorLeakageIdeality: range(1.3, 2.2),
  emitterJunctionCapacitance: maybe(decades(-12, -9)),
  emitterJunctionPotential: range(0.5, 1),
  emitterJunctionGrading: range(0.2, 0.6),
  collectorJunctionCapacitance: maybe(decades(-12, -9)),
  collectorJunctionPotential: range(0.4, 1),
  collectorJunctionGrading: range(0.2, 0.6),
  forwardTransitTime: maybe(decades(-11, -6)),
  reverseTransitTime: maybe(decades(-10, -5)),
  emitterBreakdownVoltage: maybe(range(5, 9)),
  betaTemperatureExponent: maybe(range(0.5, 2)),
});

/** Diodes, likewise. */
export const diodes: fc.Arbitrary<DiodeParameters> = fc.record({
  saturationCurrent: decades(-20, -6),
  ideality: maybe(range(1, 2.2)),
  junctionCapacitance: maybe(decades(-12, -9)),
  junctionPotential: range(0.3, 2),
  junctionGrading: range(0.2, 0.6),
  transitTime: maybe(decades(-10, -5)),
  breakdownVoltage: maybe(range(2.5, 100)),
});

/** Junction temperatures from -50 to 175 degrees Celsius, K. */
export const temperatures = range(223, 448);
export const volts = range;
