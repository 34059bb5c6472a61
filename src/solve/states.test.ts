/** The charges that a period must bring back: as many as a network has independent states. */
import { describe, expect, it } from 'vitest';
import { polesAt } from './poles.ts';
import { stateSpace } from './states.ts';
import { kernelOf } from './testing.ts';

const head = 'supplies: { vcc: 9 V }\nparts:\n';
const states = (parts: string): number => stateSpace(kernelOf(head + parts).kernel).rows.length;
const R = (name: string, from: string, to = 'gnd'): string => `  ${name}: { resistor: 1k, from: ${from}, to: ${to} }\n`;
const C = (name: string, from: string, to: string): string => `  ${name}: { capacitor: 1u, from: ${from}, to: ${to} }\n`;

describe('the state coordinates', () => {
  // Order of complexity (Bashkow; Bryant, 1959): capacitors less loops of capacitors and sources, inductors less cut-sets.
  it.each([
    ['a capacitor to ground', R('R1', 'a') + C('C1', 'a', 'gnd'), 1],
    ['a capacitor between two nodes: an island of two nodes', R('R1', 'a') + R('R2', 'b') + C('C1', 'a', 'b'), 1],
    ['two capacitors of one island', R('R1', 'a') + R('R2', 'b') + R('R3', 'c') + C('C1', 'a', 'b') + C('C2', 'b', 'c'), 2],
    [
      'a loop of three capacitors',
      R('R1', 'a') + R('R2', 'b') + R('R3', 'c') + C('C1', 'a', 'b') + C('C2', 'b', 'c') + C('C3', 'a', 'c'),
      2,
    ],
    ['two islands', R('R1', 'a') + R('R2', 'b') + R('R3', 'c') + R('R4', 'd') + C('C1', 'a', 'b') + C('C2', 'c', 'd'), 2],
    ['a capacitor across a supply', R('R1', 'vcc') + C('C1', 'vcc', 'gnd'), 0],
    ['a capacitor from the supply', R('R1', 'a') + C('C1', 'vcc', 'a'), 1],
    ['an inductor', `${R('R1', 'a')}  L1: { inductor: 1m, from: vcc, to: a }\n`, 1],
    ['none', R('R1', 'vcc'), 0],
  ])('number those of %s', (_, parts, count) => {
    expect(states(parts)).toBe(count);
  });

  it('leave one node of an island to the others, whose charges add to zero', () => {
    const { kernel, node } = kernelOf(head + R('R1', 'a') + R('R2', 'b') + C('C1', 'a', 'b'));
    const { rows, dependent } = stateSpace(kernel);
    expect(dependent).toHaveLength(1);
    expect([rows[0], dependent[0].row].sort()).toEqual([node('a'), node('b')].sort());
    expect(Array.from(dependent[0].of)).toEqual([0]);
  });

  it('give as many poles as there are states, at the reciprocals of the time constants', () => {
    const { kernel } = kernelOf(head + R('R1', 'a', 'vcc') + C('C1', 'a', 'gnd') + R('R2', 'b', 'c') + C('C2', 'b', 'c') + R('R3', 'c'));
    const poles = polesAt(kernel, new Float64Array(kernel.n));
    expect(poles).toHaveLength(2);
    for (const pole of poles ?? []) {
      expect(pole.re).toBeCloseTo(-1e3, 6);
      expect(pole.im).toBe(0);
    }
  });
});
