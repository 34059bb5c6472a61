import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Against } from '../answers/against.ts';
import { FOLLOWER, footroom, temporaryFolder } from './testing.ts';

const folder = temporaryFolder();
let sheet: string;
beforeAll(() => {
  sheet = folder.write('follower.sheet.yaml', FOLLOWER);
});
afterAll(() => folder.remove());

const KNOB = 'parts.R3.resistor=220..2k2:5';

describe('footroom ask --against', () => {
  it('adds the series of every single figure to the answer', () => {
    const { status, out } = footroom(['ask', 'quiescent', sheet, '--json', '--against', KNOB]);
    expect(status).toBe(0);
    const answer = JSON.parse(out) as { question: string; against: Against };
    expect(answer.question).toBe('quiescent');
    expect(answer.against.values).toHaveLength(5);
    expect(answer.against.values.at(-1)).toBe(2200);
    expect(Object.keys(answer.against.figures)).toContain('parts.Q1.collectorCurrent');
    expect(answer.against.unanswered).toEqual([]);
  });

  it('keeps only the figures named, and tabulates them with their units for people', () => {
    const chosen = ['--figure-of', 'nodes.out', '--figure-of', 'parts.Q1.collectorCurrent'];
    const { against } = JSON.parse(footroom(['ask', 'quiescent', sheet, '--json', '--against', KNOB, ...chosen]).out) as {
      against: Against;
    };
    expect(Object.keys(against.figures)).toEqual(['nodes.out', 'parts.Q1.collectorCurrent']);
    const { out } = footroom(['ask', 'quiescent', sheet, '--against', KNOB, ...chosen]);
    expect(out).toMatch(/^ *2\.20 kΩ +\d\.\d+ V +\d\.\d+ mA$/m);
  });

  it('takes bare degrees for temperatures', () => {
    const { out } = footroom(['ask', 'quiescent', sheet, '--json', '--against', 'ambient=0..50:3']);
    expect((JSON.parse(out) as { against: Against }).against).toMatchObject({ unit: '°C', values: [0, 25, 50] });
  });

  it.each([
    ['parts.R3.resistor=0..1k', /above zero/],
    ['parts.R9.resistor=1..1k', /no quantity at parts\.R9\.resistor/],
    ['parts.R3.resistr=1..1k', /is parts\.R3\.resistor meant/],
    ['parts.R3.resistor=330', /no range/],
    ['parts.R3.resistor=1..1k:many', /:many/],
    ['supplies.vcc=0..9:log', /linear/],
  ])('refuses %s with status 2 and says why', (range, sentence) => {
    const { status, err } = footroom(['ask', 'quiescent', sheet, '--against', range]);
    expect(err).toMatch(/^command line:1:\d+: /);
    expect(err).toMatch(sentence);
    expect(status).toBe(2);
  });

  it('refuses a figure that the answers do not have', () => {
    const { status, err } = footroom(['ask', 'quiescent', sheet, '--against', KNOB, '--figure-of', 'nodes.uot']);
    expect(status).toBe(2);
    expect(err).toMatch(/nodes\.uot.*nodes\.out/);
  });
});
