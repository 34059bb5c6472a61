import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readSheet, writeSheet } from './index.ts';
import { damaged, FOLLOWER, FOLLOWER_JSON } from './testing.ts';

// Milliseconds of processor time, as a busy machine may make anything take long by the clock.
const LONGEST_READ = 5000;

function spent(since: NodeJS.CpuUsage): number {
  return process.cpuUsage(since).user / 1000;
}

/** Read text as any caller would; what must hold whatever the text. */
function survives(text: string): void {
  const started = process.cpuUsage();
  const { document, sheet, problems } = readSheet(text);
  expect(spent(started)).toBeLessThan(LONGEST_READ);
  expect(writeSheet(document)).toBe(text);
  expect(sheet === null).toBe(problems.some(({ severity }) => severity === 'error'));
  for (const { sentence, place, code } of problems) {
    expect(sentence).not.toMatch(/undefined|\[object|NaN/);
    expect(code.length * place.line * place.column).toBeGreaterThan(0);
  }
}

describe('damaged sheets', () => {
  it.each([
    ['YAML', FOLLOWER],
    ['JSON', FOLLOWER_JSON],
  ])('of %s are read or refused in words, quickly', (_, text) => {
    fc.assert(fc.property(damaged(text), survives), { seed: 11, numRuns: 150 });
  });

  it('of any characters at all are refused in words', () => {
    fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 400 }), survives), { seed: 12, numRuns: 150 });
  });

  it('of any JSON values are read or refused in words', () => {
    const json = fc.record(
      {
        footroom: fc.oneof(fc.constant(1), fc.jsonValue()),
        supplies: fc.oneof(fc.dictionary(fc.string(), fc.jsonValue({ maxDepth: 2 })), fc.jsonValue()),
        parts: fc.oneof(
          fc.dictionary(
            fc.string(),
            fc.record(
              { resistor: fc.jsonValue({ maxDepth: 1 }), from: fc.constantFrom('a', 'b', 'gnd'), to: fc.constantFrom('a', 'b', 'gnd') },
              { requiredKeys: [] },
            ),
          ),
          fc.jsonValue(),
        ),
        drive: fc.jsonValue(),
        loads: fc.jsonValue(),
        devices: fc.jsonValue(),
        spread: fc.jsonValue(),
        captures: fc.jsonValue(),
        targets: fc.jsonValue(),
      },
      { requiredKeys: ['footroom', 'parts'] },
    );
    fc.assert(
      fc.property(json, (value) => survives(JSON.stringify(value))),
      { seed: 13, numRuns: 120 },
    );
  });

  it.each([
    ['a bracket never closed', '{'.repeat(59)],
    ['quotes', '"'.repeat(40_000)],
    ['commas', `{${','.repeat(40_000)}`],
    ['colons', 'a: '.repeat(25_000)],
    ['closing brackets', ']'.repeat(25_000)],
    ['tags', '!a '.repeat(25_000)],
    [
      'many parts',
      `footroom: 1\nsupplies: {}\nparts:\n${Array.from({ length: 4000 }, (_, n) => `  R${n}: { resistor: 1k, from: n${n}, to: n${n + 1} }`).join('\n')}`,
    ],
    [
      'many faults',
      `footroom: 1\nsupplies: {}\nparts:\n${Array.from({ length: 900 }, (_, n) => `  R${n}: { resister: 1k, from: n${n}, to: n${n + 1}, colour: red }`).join('\n')}`,
    ],
    [
      'many idle parts',
      `footroom: 1\nsupplies: {}\nparts:\n${Array.from({ length: 900 }, (_, n) => `  R${n}: { resistor: 1k, from: n${n}, to: n${n + 1} }`).join('\n')}`,
    ],
  ])('made of %s are answered', (_, text) => {
    const started = process.cpuUsage();
    expect(readSheet(text).problems.length).toBeGreaterThan(0);
    expect(spent(started)).toBeLessThan(LONGEST_READ);
  });
});
