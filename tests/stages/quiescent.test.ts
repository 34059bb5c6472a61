/** The quiescent answer on the frozen stages and on the latches, held against the independent judge. */
import { describe, expect, it } from 'vitest';
import { ask } from '../../src/answers/ask.ts';
import type { Sheet } from '../../src/sheet/types.ts';
import { generateStage } from './generator.ts';
import { kirchhoffResidual } from './kirchhoff.ts';
import { latches } from './latches.ts';
import { STAGES } from './ranges.ts';

/**
 * Open, and said so in docs/testing.md. Three get no answer: ideal sources stand across junctions and would force 1e27 A
 * and more, where neighbouring doubles of one node voltage are worth 1e4 A. At 3828 the judge sees 2e-12 to 4e-12 A where
 * it allows 1.7e-12; the engine's own residual there is 7e-14 A, and which of the two is right is not settled.
 */
const OPEN = [3828, 4181, 7939, 9597];

function nodesOf(sheet: Sheet): Record<string, number> | null {
  const answer = ask('quiescent', sheet, { isothermal: true, search: false });
  return 'nodes' in answer && answer.question === 'quiescent' ? answer.nodes : null;
}

describe('quiescent points of the frozen stages', () => {
  it('meet Kirchhoff’s law at every node, by currents worked out afresh', () => {
    const wrong: string[] = [];
    for (let index = 0; index < STAGES; index++) {
      const sheet = generateStage(index);
      const nodes = nodesOf(sheet);
      if (nodes === null) wrong.push(`${index}: no answer`);
      else {
        const { sound, worst } = kirchhoffResidual(sheet, { nodes });
        if (!sound) wrong.push(`${index}: ${worst?.residual} A at ${worst?.node}`);
      }
    }
    console.log(`${STAGES - wrong.length} of ${STAGES} generated stages rest where Kirchhoff’s law holds at every node`);
    // The list may only become shorter.
    expect(wrong.filter((w) => !OPEN.includes(Number.parseInt(w, 10)))).toEqual([]);
  }, 600_000);
});

describe('quiescent points of circuits that latch', () => {
  it.each(latches().map((latch) => [latch.name, latch] as const))('%s: the answer is one of the known solutions', (_, latch) => {
    const nodes = nodesOf(latch.sheet) ?? {};
    const place = latch.solutions.findIndex((solution) =>
      Object.entries(solution.nodes).every(([node, volts]) => Math.abs(nodes[node] - volts) < 1e-6),
    );
    expect(place).toBeGreaterThanOrEqual(0);
    if (latch.reached !== null) expect(place).toBe(latch.reached);
  });
  it.each(latches().map((latch) => [latch.name, latch] as const))(
    '%s: all solutions are told, once, with whether they hold',
    (_, latch) => {
      const answer = ask('quiescent', latch.sheet, { isothermal: true });
      if (!('otherSolutions' in answer)) throw new Error(answer.title);
      const placeOf = (nodes: Record<string, number>): number =>
        latch.solutions.findIndex((solution) =>
          Object.entries(solution.nodes).every(([node, volts]) => Math.abs(nodes[node] - volts) < 1e-6),
        );
      const own = placeOf(answer.nodes);
      const others = answer.otherSolutions.map(({ nodes, stable }) => ({ place: placeOf(nodes), stable }));
      expect([own, ...others.map(({ place }) => place)].sort((a, b) => a - b)).toEqual([...latch.solutions.keys()]);
      for (const { place, stable } of others) expect(stable).toBe(latch.solutions[place].stable);
      expect(answer.notes.some(({ kind }) => kind === 'right-half-plane-pole')).toBe(!latch.solutions[own].stable);
      expect(answer.notes).toContainEqual({ kind: 'several-resting-points', count: latch.solutions.length });
      expect(answer.notes.find((note) => note.kind === 'search')).toMatchObject({ solutions: latch.solutions.length });
    },
  );
});
