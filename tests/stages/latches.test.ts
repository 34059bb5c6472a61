import { describe, expect, it } from 'vitest';
import { kirchhoffResidual } from './kirchhoff.ts';
import { fourLayers, type Latch, symmetricPair, twoPairs } from './latches.ts';

function eachIsSound(latch: Latch): void {
  for (const solution of latch.solutions) {
    const report = kirchhoffResidual(latch.sheet, solution);
    expect(report.sound, `${latch.name} ${JSON.stringify(solution.nodes)} ${JSON.stringify(report.worst)}`).toBe(true);
  }
}

describe('circuits that latch', () => {
  it('has three solutions in a symmetric pair, the middle one equal on both sides', () => {
    const latch = symmetricPair();
    expect(latch.solutions).toHaveLength(3);
    eachIsSound(latch);
    const [low, middle, high] = latch.solutions.map((solution) => solution.nodes);
    expect(middle!.b1).toBeCloseTo(middle!.b2!, 9);
    expect(low!.b1).toBeCloseTo(high!.b2!, 9);
    expect(low!.c2).toBeCloseTo(high!.c1!, 9);
    expect(high!.c1).toBeLessThan(0.1);
    expect(latch.solutions.map((solution) => solution.stable)).toEqual([true, false, true]);
  });
  it('has three solutions in four layers: off, on, and one between', () => {
    const latch = fourLayers();
    expect(latch.solutions).toHaveLength(3);
    eachIsSound(latch);
    expect(latch.solutions[0]!.nodes.a).toBeCloseTo(12, 6);
    expect(latch.solutions[2]!.nodes.a).toBeLessThan(1);
  });
  it('has nine solutions in two pairs that share a supply, of which four can hold', () => {
    const latch = twoPairs();
    expect(latch.solutions).toHaveLength(9);
    eachIsSound(latch);
    expect(latch.solutions.filter((solution) => solution.stable)).toHaveLength(4);
  });
});
