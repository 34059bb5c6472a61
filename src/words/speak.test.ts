import { describe, expect, it } from 'vitest';
import type { Answer } from '../answers/types.ts';
import { explain, GLOSSARY } from './glossary.ts';
import { shareOfPeriod } from './grammar.ts';
import { speak } from './speak.ts';
import { surroundingsOf } from './surroundings.ts';
import { impedance, quiescent, swing, waveform } from './testing/answers.ts';
import { figuresIn, inventedFigures } from './testing/figures.ts';
import { stretchLabel, stretchSentence } from './waveform.ts';

const ALL: Answer[] = [quiescent(), swing(), impedance(), waveform()];
const plain = (texts: readonly string[]): string => texts.join(' ').replace(/\u00a0/g, ' ');

function wordsOf(answer: Answer): string[] {
  const causes =
    answer.question === 'swing'
      ? [answer.high?.cause, answer.low?.cause]
      : answer.question === 'waveform'
        ? answer.stretches.map((s) => s.cause)
        : [];
  return [...answer.sentences, ...answer.assumptions, ...answer.warnings, ...causes.map((cause) => cause?.sentence ?? '')];
}

/** Bounds and definitions that are the same in every answer: the search for corners ends at 10 GHz (`physics.md`, corner). */
const FIXED = [1e10];

describe('an answer given its words', () => {
  it.each(ALL)('says of $question only figures that stand in the answer', (answer) => {
    const words = wordsOf(speak(answer));
    expect(figuresIn(words).length).toBeGreaterThan(2);
    expect(inventedFigures(words, answer, FIXED)).toEqual([]);
  });

  it.each(ALL)('keeps the figures of $question as they were', (answer) => {
    const bare = (value: unknown): unknown =>
      JSON.parse(
        JSON.stringify(value, (key, inner: unknown) =>
          ['sentences', 'sentence', 'assumptions', 'warnings'].includes(key) ? undefined : inner,
        ),
      );
    expect(bare(speak(answer))).toEqual(bare(answer));
  });

  it.each(ALL)('says nothing twice when $question is spoken twice', (answer) => {
    expect(speak(speak(answer))).toEqual(speak(answer));
  });

  it('leads swing with the tighter end and its cause, then the rooms', () => {
    expect(plain(speak(swing()).sentences)).toBe(
      'Flat at −0.25 V, where Q1 cuts off: the phones return 24.9 mA, R3 can take 7.94 mA. It goes down by only 0.232 V and up by 6.17 V, where Q1 saturates. Within 1 % distortion it gives 0.213 V peak to peak, from 0.26 V of drive.',
    );
  });

  it('says rooms that read alike once', () => {
    const even = swing();
    if (even.high === null) throw new Error('the invented swing has an upper limit');
    const { sentences } = speak({ ...even, low: { ...even.high, volts: -6.168 } });
    expect(plain(sentences)).toContain('It goes 6.17 V either way; on the way up Q1 saturates too.');
    expect(plain(speak({ ...even, low: null }).sentences)).toContain(
      'It goes up by 6.17 V; down, no limit was found in the range looked at.',
    );
  });

  it('says where a stage conducts that passes hardly anything at rest', () => {
    const range = { from: 8, to: 9, outputFrom: 1, outputTo: 2 };
    expect(plain(speak({ ...swing(), high: null, low: null, clean: null, conducts: [range] }).sentences)).toBe(
      'Hardly anything comes through about rest; the output follows only from 8 V to 9 V from the generator.',
    );
  });

  it('leads a waveform with the cause of what is odd, then size and distortion', () => {
    const answer = waveform();
    const [cause, ...others] = speak(answer).sentences;
    expect(plain([cause])).toMatch(/^Flat at −0.252 V for nearly half of each period, where Q1 cuts off: the phones ask for 24.9 mA/);
    expect(plain(others)).not.toMatch(/cuts off/);
  });

  it('never offers output impedance without its bound and the way to swing', () => {
    expect(plain(speak(impedance()).sentences)).toContain('fed from 7.3 Ω, for less than ±0.1 V; beyond that see swing.');
    expect(plain(speak({ ...impedance(), notes: [] }).sentences)).toContain(
      'fed from 7.3 Ω, for small signals; how far it can drive, see swing.',
    );
  });

  it('tells a stretch with its times, its demand and its capacity', () => {
    const answer = waveform();
    const surroundings = { ...surroundingsOf(answer), output: 'jack' };
    const [stretch] = answer.stretches;
    expect(plain([stretchLabel(stretch)])).toBe('Q1 off, 1.27–2.14 ms');
    expect(plain([stretchSentence(stretch, answer, surroundings)])).toBe(
      'Q1 is off from 1.27 ms to 2.14 ms. Q1 cuts off: the phones return 24.9 mA, R3 can take 7.94 mA.',
    );
    expect(plain([stretchSentence({ ...stretch, cause: null }, answer, surroundings)])).toBe(
      'Q1 is off from 1.27 ms to 2.14 ms; the output does not show it.',
    );
  });

  it('turns shares of a period into words that rise with them', () => {
    expect(shareOfPeriod(0.45)).toBe('for nearly half of each period');
    expect(shareOfPeriod(0.5)).toBe('for half of each period');
    expect(shareOfPeriod(1)).toBe('all the time');
  });
});

describe('the glossary', () => {
  it('explains each term once', () => {
    const words = GLOSSARY.flatMap((entry) => [entry.term, ...(entry.also ?? [])]).map((word) => word.toLowerCase());
    expect(new Set(words).size).toBe(words.length);
  });

  it('finds a term by any of its forms', () => {
    expect(explain('Clipped')?.term).toBe('clip');
    expect(explain('h_FE')?.term).toBe('beta');
    expect(explain('nonsense')).toBeUndefined();
  });
});
