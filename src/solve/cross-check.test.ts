/** The second method by itself, against a phasor. */
import { describe, expect, it } from 'vitest';
import { settleSecond } from './cross-check.ts';
import { kernelOf } from './testing.ts';

const { kernel, node } = kernelOf(
  'supplies: {}\nparts:\n  R1: { resistor: 1k, from: in, to: a }\n  C1: { capacitor: 100u, from: a, to: gnd }\ndrive: { node: in, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\n',
);
const drive = { period: 1e-3, corners: [], emf: (p: number): number => Math.sin(2 * Math.PI * p) };

describe('shooting with the diagonally implicit method', () => {
  it('meets the phasor of a low-pass of a hundred periods to order 2', () => {
    const w = 200 * Math.PI;
    const error = (steps: number): number => {
      const second = settleSecond(kernel, drive, new Float64Array(kernel.n), { steps, rounds: 10 });
      if (!second) throw new Error('nothing was found');
      expect(second.rounds).toBeLessThanOrEqual(3);
      let worst = 0;
      second.times.forEach((t, k) => {
        const exact = Math.sin(2e3 * Math.PI * t - Math.atan(w)) / Math.hypot(1, w);
        worst = Math.max(worst, Math.abs(second.x[k * second.n + node('a')] - exact));
      });
      return worst;
    };
    const order = Math.log2(error(100) / error(200));
    expect(order).toBeGreaterThan(1.9);
    expect(order).toBeLessThan(2.1);
  });
  it('finds nothing where charge has nowhere to go', () => {
    const lost = kernelOf(
      'supplies: {}\nparts:\n  I1: { current: 1 mA, from: gnd, to: a }\n  C1: { capacitor: 1u, from: a, to: gnd }\n  R1: { resistor: 1k, from: in, to: gnd }\ndrive: { node: in, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\n',
    ).kernel;
    expect(settleSecond(lost, drive, new Float64Array(lost.n), { steps: 50, rounds: 20 })).toBeNull();
  });
});
