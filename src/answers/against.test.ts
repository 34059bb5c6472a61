import { describe, expect, it } from 'vitest';
import { readSheet } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { askAgainst, figuresOf } from './against.ts';
import type { Answer, NoAnswer } from './types.ts';

const DIVIDER = `footroom: 1
supplies: { vcc: 10 V }
parts:
  R1: { resistor: 1k, from: vcc, to: tap }
  R2: { resistor: 1k, from: tap, to: gnd }
`;

function divider(): Sheet {
  const { sheet } = readSheet(DIVIDER);
  if (sheet === null) throw new Error('the divider does not read');
  return sheet;
}

/** A voltage divider's answer by its closed form, refused above 3 kΩ so that there is something unanswered. */
function closedForm(sheet: Sheet): Answer | NoAnswer {
  const [r1, r2] = sheet.parts.map((part) => (part.kind === 'resistor' ? part.resistance : Number.NaN));
  const common = { question: 'quiescent' as const, format: 1 as const, title: '' };
  if (r2 > 3000) return { ...common, failure: { kind: 'no-output' as const }, error: 'too much', tried: [], notes: [], warnings: [] };
  return {
    ...common,
    load: null,
    notes: [],
    assumptions: [],
    warnings: [],
    ledger: [],
    sentences: [],
    nodes: { tap: (10 * r2) / (r1 + r2) },
    parts: {},
    supplies: { vcc: { current: 10 / (r1 + r2), power: 100 / (r1 + r2) } },
    otherSolutions: [],
    search: '',
  };
}

describe('a question against a knob', () => {
  it('gives every single figure as a series over the values, both ends included', () => {
    const against = askAgainst(closedForm, divider(), { path: 'parts.R2.resistor', from: 250, to: 1000, points: 3 });
    expect(against.values[0]).toBe(250);
    expect(against.values[1]).toBeCloseTo(500, 9);
    expect(against.values[2]).toBe(1000);
    expect(against.unit).toBe('Ω');
    expect(Object.keys(against.figures)).toEqual(['nodes.tap', 'supplies.vcc.current', 'supplies.vcc.power']);
    expect(against.figures['nodes.tap'][0]).toBeCloseTo(2, 12);
    expect(against.figures['nodes.tap'][2]).toBeCloseTo(5, 12);
  });

  it('steps volts by equal differences, and ohms too when asked to', () => {
    const volts = askAgainst(closedForm, divider(), { path: 'supplies.vcc', from: 5, to: 15, points: 3 });
    expect(volts.values).toEqual([5, 10, 15]);
    const ohms = askAgainst(closedForm, divider(), { path: 'parts.R1.resistor', from: 100, to: 300, points: 3, scale: 'linear' });
    expect(ohms.values).toEqual([100, 200, 300]);
  });

  it('lists the values without an answer, with null in their place in every series', () => {
    const against = askAgainst(closedForm, divider(), { path: 'parts.R2.resistor', from: 1000, to: 4000, points: 2 });
    expect(against.unanswered).toEqual([{ value: 4000, error: 'too much' }]);
    expect(against.figures['nodes.tap'][1]).toBeNull();
  });

  it('gives temperatures in degrees Celsius', () => {
    const against = askAgainst(closedForm, divider(), { path: 'ambient', from: 273.15, to: 323.15, points: 2 });
    expect(against).toMatchObject({ unit: '°C', values: [0, 50] });
  });

  it('refuses a path that leads to no quantity, and a logarithm through zero', () => {
    expect(() => askAgainst(closedForm, divider(), { path: 'parts.R9.resistor', from: 1, to: 2, points: 2 })).toThrow(RangeError);
    expect(() => askAgainst(closedForm, divider(), { path: 'supplies.vcc', from: 0, to: 2, points: 2, scale: 'log' })).toThrow(RangeError);
  });
});

describe('the figures of an answer', () => {
  it('leaves out the format number, words, lists and nulls', () => {
    const answer = closedForm(divider()) as Answer;
    expect([...figuresOf(answer).keys()]).not.toContain('format');
    expect([...figuresOf(answer).values()].every((value) => typeof value === 'number')).toBe(true);
  });
});
