/** The search for further resting points, on the latches whose solutions are counted by a route of their own. */
import { describe, expect, it } from 'vitest';
import { fourLayers, symmetricPair, twoPairs } from '../../tests/stages/latches.ts';
import { readSheet } from '../sheet/read.ts';
import type { Sheet } from '../sheet/types.ts';
import { loopedTransistors } from './loops.ts';
import { searchFurther } from './search.ts';
import { growingPole } from './stability.ts';
import { openStage } from './stage.ts';

/** Places of all that is found among the solutions known, with whether each holds. */
function found(sheet: Sheet, known: { nodes: Record<string, number>; stable: boolean }[]) {
  const stage = openStage(sheet, { isothermal: true });
  const { starts, others } = searchFurther(stage);
  const all = [{ x: stage.x, stable: growingPole(stage.kernel, stage.x) === null }, ...others];
  const places = all.map(({ x }) =>
    known.findIndex(({ nodes }) => Object.entries(nodes).every(([name, v]) => Math.abs(x[stage.network.nodes.indexOf(name)] - v) < 1e-6)),
  );
  return { starts, places, agree: all.map(({ stable }, k) => stable === known[places[k]]?.stable) };
}

describe('the search for further resting points', () => {
  it.each([symmetricPair(), fourLayers(), twoPairs()].map((latch) => [latch.name, latch] as const))(
    '%s: finds every solution once, and which of them hold',
    (_, latch) => {
      const { starts, places, agree } = found(latch.sheet, latch.solutions);
      expect([...places].sort((a, b) => a - b)).toEqual([...latch.solutions.keys()]);
      expect(agree).not.toContain(false);
      expect(starts).toBeGreaterThan(0);
    },
  );
  it('leaves the stage as it was', () => {
    const stage = openStage(symmetricPair().sheet, { isothermal: true });
    const before = Array.from(stage.x);
    searchFurther(stage);
    expect(Array.from(stage.x)).toEqual(before);
    expect(stage.solver.solve(stage.x, new Float64Array(stage.kernel.junctionCount)).converged).toBe(true);
  });
  it('does not search where no transistors act back on each other', () => {
    const read = readSheet(`footroom: 1
title: Two stages in a row
supplies: { vcc: 9 V }
devices: { q: { npn: { saturationCurrent: 1e-14, forwardBeta: 200, reverseBeta: 3 } } }
parts:
  R1: { resistor: 470k, from: vcc, to: a }
  Q1: { npn: q, collector: b, base: a, emitter: gnd }
  R2: { resistor: 4k7, from: vcc, to: b }
  Q2: { npn: q, collector: vcc, base: b, emitter: c }
  R3: { resistor: 1k, from: c, to: gnd }
`);
    expect(read.problems).toEqual([]);
    const stage = openStage(read.sheet as Sheet, { isothermal: true });
    expect(loopedTransistors(stage.network)).toEqual([]);
    expect(searchFurther(stage)).toEqual({ starts: 0, others: [] });
  });
});
