/** The rise of all sources from zero, and what becomes of it where the path folds. */
import { describe, expect, it } from 'vitest';
import { fourLayers, twoPairs } from '../../tests/stages/latches.ts';
import { flatten } from '../circuit/network.ts';
import { PlainKernel } from '../circuit/plain-kernel.ts';
import { readSheet } from '../sheet/read.ts';
import type { Sheet } from '../sheet/types.ts';
import { ramp, scaleSources } from './ramp.ts';
import { StaticSolver } from './static.ts';

function ramped(sheet: Sheet) {
  const kernel = new PlainKernel(flatten(sheet), sheet.ambient);
  const x = new Float64Array(kernel.n);
  return { kernel, x, outcome: ramp(new StaticSolver(kernel), x), at: (name: string) => x[kernel.network.nodes.indexOf(name)] };
}

describe('the rise of the supplies', () => {
  it('ends at the full sources, where a linear stage has its superposition', () => {
    const { sheet } = readSheet(
      'footroom: 1\ntitle: Test\nsupplies: { vcc: 10 V }\nparts:\n  R1: { resistor: 1k, from: vcc, to: a }\n  R2: { resistor: 1k, from: a, to: gnd }\n  I1: { current: 0.004, from: gnd, to: a }\n',
    );
    const { outcome, kernel, at } = ramped(sheet as Sheet);
    expect(outcome).toMatchObject({ converged: true, share: 1, folded: false, relaxed: false });
    expect(at('a')).toBeCloseTo(10 / 2 + 0.004 * 500, 10);
    expect(Array.from(kernel.emf)).toEqual([10]);
    scaleSources(kernel, 0.5);
    expect([...kernel.emf, ...kernel.amperes]).toEqual([5, 0.002]);
  });
  it('leaves four layers off, as nothing triggers them', () => {
    const latch = fourLayers();
    const { outcome, at } = ramped(latch.sheet);
    expect(outcome.converged).toBe(true);
    for (const [name, volts] of Object.entries(latch.solutions[0].nodes)) expect(at(name)).toBeCloseTo(volts, 6);
  });
  it('ends at one of the nine solutions of two lopsided pairs, past the folds', () => {
    const latch = twoPairs();
    const { outcome, at } = ramped(latch.sheet);
    expect(outcome.converged).toBe(true);
    const reached = latch.solutions.filter(({ nodes }) =>
      Object.entries(nodes).every(([name, volts]) => Math.abs(at(name) - volts) < 1e-6),
    );
    expect(reached).toHaveLength(1);
  });
});
