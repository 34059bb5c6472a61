import { describe, expect, it } from 'vitest';
import type { Failure, Note } from '../answers/notes.ts';
import { failureWords, noteSentence, spokenNotes } from './messages.ts';
import { inventedFigures } from './testing/figures.ts';

/** One note of each kind; the type sees to it that none is forgotten. */
const NOTES: { [K in Note['kind']]: Extract<Note, { kind: K }> } = {
  isothermal: { kind: 'isothermal', ambient: 25 },
  'junctions-at-ambient': { kind: 'junctions-at-ambient', parts: ['Q1', 'Q2'], ambient: 18 },
  'self-heating': { kind: 'self-heating', parts: ['Q1'], ambient: 25 },
  'junctions-as-at-rest': { kind: 'junctions-as-at-rest' },
  'starts-discharged': { kind: 'starts-discharged', ambient: 25 },
  'load-open': { kind: 'load-open' },
  held: { kind: 'held', parts: ['C1', 'C2'] },
  'left-out': { kind: 'left-out', parts: ['C3'], frequency: 440 },
  'charges-left-out': { kind: 'charges-left-out' },
  'nominal-values': { kind: 'nominal-values' },
  'typical-device': { kind: 'typical-device', device: 'small-signal', parts: ['Q1'] },
  'small-signal': { kind: 'small-signal' },
  'small-signal-bound': { kind: 'small-signal-bound', volts: 0.1 },
  'amplitude-at-node': { kind: 'amplitude-at-node', node: 'in', peakToPeak: 1.86 },
  search: { kind: 'search', starts: 200, solutions: 3 },
  'reversed-capacitor': { kind: 'reversed-capacitor', part: 'C2', volts: -0.7, when: 'rest' },
  'capacitor-over-rating': { kind: 'capacitor-over-rating', part: 'C2', volts: 17.5, rating: 16 },
  'below-corner': { kind: 'below-corner', part: 'C2', frequency: 20 },
  'both-directions-same-way': { kind: 'both-directions-same-way' },
  'right-half-plane-pole': { kind: 'right-half-plane-pole', frequency: 7.7e6, timeConstant: 1.2e-7 },
  'drive-harmonics': { kind: 'drive-harmonics', waveform: 'triangle', departure: 0.013 },
  'beyond-rating': { kind: 'beyond-rating', part: 'Q1', rating: 'collectorCurrent', value: 0.16, limit: 0.1 },
  'several-resting-points': { kind: 'several-resting-points', count: 3 },
  hot: { kind: 'hot', part: 'Q1', temperature: 118 },
  'above-extra-low': { kind: 'above-extra-low', volts: 90 },
  'direct-current-in-speaker': { kind: 'direct-current-in-speaker', load: 'speaker', amperes: 0.15 },
  loud: { kind: 'loud', load: 'phones', level: 110 },
  'no-limit-found': { kind: 'no-limit-found', side: 'low', drive: -120 },
  'did-not-converge': { kind: 'did-not-converge', points: 2, of: 241 },
  'model-limit': { kind: 'model-limit', part: 'Q1', what: 'knee' },
};

const FAILURES: { [K in Failure['kind']]: Extract<Failure, { kind: K }> } = {
  'no-resting-point': {
    kind: 'no-resting-point',
    starts: 200,
    tried: [
      { kind: 'ramp', steps: 40 },
      { kind: 'shorted', part: 'C1', worked: true },
    ],
  },
  floats: { kind: 'floats', nodes: ['base'] },
  loops: { kind: 'loops', things: ['the supply vcc', 'R1'], nodes: ['vcc', 'gnd'] },
  'no-drive': { kind: 'no-drive', needs: 'frequency' },
  'no-output': { kind: 'no-output' },
  oscillates: { kind: 'oscillates', frequency: 7.7e6, multiplier: -1.4, timeConstant: 1e-6 },
  'not-settled': {
    kind: 'not-settled',
    residual: 0.02,
    tried: [
      { kind: 'shooting', iterations: 30 },
      { kind: 'long-run', periods: 200 },
    ],
  },
  'runs-away': { kind: 'runs-away', parts: ['Q1', 'Q2'] },
  'did-not-converge': {
    kind: 'did-not-converge',
    at: { quantity: 'drive', value: 3.2 },
    tried: [
      { kind: 'starts', count: 8 },
      { kind: 'lifted', part: 'Q1', worked: false },
    ],
  },
};

describe('notes in words', () => {
  it.each(Object.values(NOTES))('tell $kind in whole sentences with the figures of the note', (note) => {
    const said = noteSentence(note);
    expect(said).toMatch(/^[A-Z0-9].*[^.]\.$/);
    expect(said).not.toMatch(/undefined|NaN|\[object/);
    expect(inventedFigures([said], note)).toEqual([]);
  });

  it.each(Object.values(FAILURES))('tell $kind, what was tried, and nothing invented', (failure) => {
    const { error, tried } = failureWords(failure);
    for (const said of [error, ...tried]) expect(said).toMatch(/^[A-Z0-9].*[^.]\.$/);
    expect(inventedFigures([error, ...tried], failure)).toEqual([]);
  });

  it('name a floating node and the remedy', () => {
    expect(failureWords(FAILURES.floats).error).toBe(
      'The node base floats: no path for direct current leads from it to ground. Tack a resistor from it, or give back what was lifted.',
    );
  });

  it('sort assumptions from warnings, none lost', () => {
    const all = Object.values(NOTES);
    const { assumptions, warnings } = spokenNotes(all);
    expect(assumptions.length + warnings.length).toBe(all.length);
    expect(warnings.some((text) => text.includes('C2 is polarised'))).toBe(true);
    expect(assumptions.some((text) => text.includes('Nothing is connected'))).toBe(true);
  });
});
