/** Steps of the Radau IIA method against the exact solutions of linear networks. */
import { describe, expect, it } from 'vitest';
import { marchStep } from './march.ts';
import { NODES, STAGES, StageBlock, W, W_SUM, WEIGHTS } from './radau.ts';
import { kernelOf } from './testing.ts';

/** Marches `steps` even steps of length h from unknowns `x`; all unknowns at the end. */
function march(kernel: ReturnType<typeof kernelOf>['kernel'], x: Float64Array, h: number, steps: number, emf: (t: number) => number) {
  const block = new StageBlock(kernel);
  kernel.evaluate(x, null, true);
  const charge = Float64Array.from(kernel.q);
  const stages = new Float64Array(STAGES * kernel.n);
  for (let k = 0; k < STAGES; k++) stages.set(x, k * kernel.n);
  for (let s = 0; s < steps; s++) {
    const emfs = NODES.map((c) => emf((s + c) * h));
    if (!marchStep(kernel, block, stages, 0, h, charge, emfs)) throw new Error('the step has no solution');
    charge.set(block.endCharge);
  }
  return stages.slice((STAGES - 1) * kernel.n);
}

describe('the coefficients of the three stages', () => {
  // Hairer and Wanner, Solving Ordinary Differential Equations II, 2nd ed. 1996, IV.5: B(5), the quadrature conditions.
  it('integrate powers up to the fourth exactly, and the fifth not', () => {
    const moment = (p: number): number => WEIGHTS.reduce((sum, w, k) => sum + w * NODES[k] ** p, 0);
    for (let p = 0; p <= 4; p++) expect(moment(p)).toBeCloseTo(1 / (p + 1), 14);
    expect(Math.abs(moment(5) - 1 / 6)).toBeGreaterThan(1e-5);
  });
  it('differentiate cubics that start at zero exactly: W is the inverse of A (C(3), stage order 3)', () => {
    for (let p = 1; p <= 3; p++) {
      for (let i = 0; i < STAGES; i++) {
        const slope = [0, 1, 2].reduce((sum, j) => sum + W[3 * i + j] * NODES[j] ** p, 0);
        expect(slope).toBeCloseTo(p * NODES[i] ** (p - 1), 12);
      }
    }
    for (let i = 0; i < STAGES; i++) expect(W_SUM[i]).toBeCloseTo(W[3 * i] + W[3 * i + 1] + W[3 * i + 2], 14);
  });
});

describe('the decay of a capacitor through a resistor', () => {
  const { kernel, node } = kernelOf(
    'supplies: {}\nparts:\n  R1: { resistor: 1k, from: a, to: gnd }\n  C1: { capacitor: 1u, from: a, to: gnd }\n',
  );
  const endAfter = (steps: number): number => {
    const x = new Float64Array(kernel.n);
    x[node('a')] = 1;
    return march(kernel, x, 2e-3 / steps, steps, () => 0)[node('a')];
  };
  it('follows the exponential to order 5 at the ends of the steps', () => {
    const error = (steps: number): number => Math.abs(endAfter(steps) - Math.exp(-2));
    for (const steps of [4, 8]) {
      const order = Math.log2(error(steps) / error(2 * steps));
      expect(order).toBeGreaterThan(4.8);
      expect(order).toBeLessThan(5.2);
    }
  });
  // The stability function is the Padé approximation (2, 3) of the exponential (same book, table IV.5.7).
  it('is in one step the Padé approximation of the exponential', () => {
    const z = -2;
    const exact = (1 + (2 * z) / 5 + (z * z) / 20) / (1 - (3 * z) / 5 + (3 * z * z) / 20 - (z * z * z) / 60);
    expect(endAfter(1)).toBeCloseTo(exact, 12);
  });
  it('is gone after one step of many time constants, as the method is L-stable', () => {
    const x = new Float64Array(kernel.n);
    x[node('a')] = 1;
    expect(Math.abs(march(kernel, x, 1e3, 1, () => 0)[node('a')])).toBeLessThan(4e-6);
  });
});

describe('a capacitor across an ideal source, whose current is a derivative (index 2)', () => {
  const { kernel, node } = kernelOf(
    'supplies: {}\nparts:\n  C1: { capacitor: 1u, from: a, to: gnd }\n  C2: { capacitor: 2u, from: a, to: b }\n  C3: { capacitor: 2u, from: b, to: gnd }\n  R1: { resistor: 1G, from: b, to: gnd }\ndrive: { node: a, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\n',
  );
  const current = kernel.network.nodes.length + kernel.network.generator;
  it('takes C dv/dt of a ramp exactly, and shares it among the loop of capacitors', () => {
    const end = march(kernel, new Float64Array(kernel.n), 1e-6, 5, (t) => 1000 * t);
    expect(end[node('a')]).toBeCloseTo(5e-3, 14);
    // C1 and C2 in series with C3: 2 µF at 1000 V/s.
    expect(end[current]).toBeCloseTo(-2e-3, 8);
    expect(end[node('b')]).toBeCloseTo(2.5e-3, 8);
  });
  it('takes C dv/dt of a sine to the order of the stages', () => {
    const omega = 2e3 * Math.PI;
    const error = (steps: number): number => {
      const end = march(kernel, new Float64Array(kernel.n), 1.1e-3 / steps, steps, (t) => Math.sin(omega * t));
      return Math.abs(end[current] + 2e-6 * omega * Math.cos(omega * 1.1e-3));
    };
    // Order 3 in the index-2 variable (Hairer and Wanner, VII.4).
    const ratio = error(80) / error(160);
    expect(ratio).toBeGreaterThan(7);
    expect(ratio).toBeLessThan(9);
    expect(error(160)).toBeLessThan(1e-6);
  });
});
