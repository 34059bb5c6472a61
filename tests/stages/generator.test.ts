import { describe, expect, it } from 'vitest';
import type { Part, Sheet } from '../../src/sheet/types.ts';
import { generateStage, hasFeedback } from './generator.ts';
import { MOST_TRANSISTORS, RANGES, STAGES } from './ranges.ts';

const ends = (part: Part): [string, string][] => {
  switch (part.kind) {
    case 'npn':
    case 'pnp':
      return [
        [part.base, part.emitter],
        [part.base, part.collector],
      ];
    case 'diode':
      return [[part.anode, part.cathode]];
    case 'capacitor':
      return part.leakage > 0 ? [[part.from, part.to]] : [];
    case 'current':
      return [];
    case 'trimmer':
      return [
        [part.from, part.wiper],
        [part.wiper, part.to],
      ];
    default:
      return [[part.from, part.to]];
  }
};
const nodesOf = (part: Part): string[] => {
  switch (part.kind) {
    case 'npn':
    case 'pnp':
      return [part.collector, part.base, part.emitter];
    case 'diode':
      return [part.anode, part.cathode];
    case 'trimmer':
      return [part.from, part.to, part.wiper];
    default:
      return [part.from, part.to];
  }
};
/** Nodes that no path for direct current joins to ground, to a supply or to the generator. */
function floating(sheet: Sheet): string[] {
  const reached = new Set<string>(['gnd', ...sheet.supplies.map((supply) => supply.node)]);
  if (sheet.drive) reached.add(sheet.drive.node);
  const links = sheet.parts.flatMap(ends);
  for (let grown = true; grown; ) {
    grown = false;
    for (const [a, b] of links) {
      if (reached.has(a) === reached.has(b)) continue;
      reached.add(a).add(b);
      grown = true;
    }
  }
  return [...new Set(sheet.parts.flatMap(nodesOf))].filter((node) => !reached.has(node));
}

describe('the ten thousand test stages', () => {
  it('are sound: every node has a path for direct current, no part has both ends on one node, and none is too large', () => {
    let largest = 0;
    let decades: [number, number] = [Infinity, 0];
    let feedback = 0;
    for (let index = 0; index < STAGES; index++) {
      const sheet = generateStage(index);
      expect(floating(sheet), sheet.title).toEqual([]);
      const transistors = sheet.parts.filter((part) => part.kind === 'npn' || part.kind === 'pnp');
      largest = Math.max(largest, transistors.length);
      if (hasFeedback(index)) feedback += 1;
      for (const part of sheet.parts) {
        if (part.kind === 'npn' || part.kind === 'pnp') {
          // A diode-connected transistor joins two of its leads; all three on one node would do nothing.
          expect(new Set(nodesOf(part)).size, `${sheet.title} ${part.name}`).toBeGreaterThan(1);
          continue;
        }
        for (const [a, b] of part.kind === 'trimmer' ? [[part.from, part.to]] : [nodesOf(part)])
          expect(a, `${sheet.title} ${part.name}`).not.toBe(b);
        if (part.kind === 'resistor') decades = [Math.min(decades[0], part.resistance), Math.max(decades[1], part.resistance)];
      }
      const names = sheet.parts.map((part) => part.name);
      expect(new Set(names).size).toBe(names.length);
    }
    expect(largest).toBeLessThanOrEqual(MOST_TRANSISTORS);
    expect(largest).toBeGreaterThan(15);
    expect(feedback).toBe(STAGES / 5);
    expect(decades[0]).toBeLessThan(RANGES.wildResistance[0] * 1.1);
    expect(decades[1]).toBeGreaterThan(RANGES.wildResistance[1] / 1.1);
  }, 60_000);

  it('are the same whenever they are drawn', () => {
    expect(JSON.stringify(generateStage(4321))).toBe(JSON.stringify(generateStage(4321)));
    expect(JSON.stringify(generateStage(4321))).not.toBe(JSON.stringify(generateStage(4322)));
  });
});
