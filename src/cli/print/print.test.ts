import { describe, expect, it } from 'vitest';
import type { Answer, Help } from '../../answers/types.ts';
import { speak } from '../../words/speak.ts';
import { impedance, quiescent, swing, waveform } from '../../words/testing/answers.ts';
import { printAnswer, printNoAnswer } from './index.ts';
import { difference } from './ledger.ts';
import { figure, table, word } from './table.ts';
import { shownLength, wrap } from './text.ts';

const ALL: Answer[] = [quiescent(), swing(), impedance(), waveform()].map((answer) => speak(answer));
const ESCAPE = String.fromCharCode(27);

describe('an answer in print', () => {
  it.each(ALL)('of $question stays within 60, 80 and 120 columns', (answer) => {
    for (const width of [60, 80, 120]) {
      for (const line of printAnswer(answer, { width, output: 'jack', drive: 'in' }).split('\n'))
        expect(shownLength(line), line).toBeLessThanOrEqual(width);
    }
  });

  it.each(ALL)('of $question begins with title, rule and sentences', (answer) => {
    const lines = printAnswer(answer, { width: 120 }).split('\n');
    expect(lines[0].startsWith(answer.title)).toBe(true);
    expect(lines[1]).toMatch(/^═+$/);
    const first = answer.sentences[0].replace(/\u00a0/g, ' ');
    expect(
      lines
        .slice(3, 9)
        .map((line) => line.trim())
        .join(' '),
    ).toContain(first);
  });

  it('takes no colour unless asked, and says the same with it', () => {
    for (const answer of ALL) {
      const bare = printAnswer(answer);
      const inked = printAnswer(answer, { colour: true });
      expect(bare).not.toContain(ESCAPE);
      expect(inked).toContain(ESCAPE);
      expect(inked.replaceAll(new RegExp(`${ESCAPE}\\[[0-9;]*m`, 'g'), '')).toBe(bare);
    }
  });

  it('tells what would help after the cause', () => {
    const asked = swing();
    const help: Help = {
      verbs: [{ path: 'parts.R3.resistor', value: 150 }],
      figure: 'flat',
      before: -0.25,
      after: -1.2,
      enough: true,
      sentence: '',
    };
    const answer = speak({ ...asked, low: asked.low && { ...asked.low, help } });
    const printed = printAnswer(answer, { width: 120 }).replace(/\s+/g, ' ');
    const cause = printed.indexOf('Q1 cuts off: the phones return');
    expect(cause).toBeGreaterThan(0);
    expect(printed.indexOf('With R3 at 150 Ω the flat moves to −1.2 V.')).toBeGreaterThan(cause);
  });

  it('names the emitter-base voltage of a PNP so that it is positive', () => {
    const answer = quiescent();
    const { Q1 } = answer.parts;
    if (!('collectorCurrent' in Q1)) throw new Error('Q1 is a transistor');
    const mirrored: Answer = {
      ...answer,
      parts: { Q1: { ...Q1, baseEmitterVoltage: -Q1.baseEmitterVoltage, collectorEmitterVoltage: -Q1.collectorEmitterVoltage } },
    };
    const text = printAnswer(speak(mirrored));
    expect(text).toContain('V_EB 0.685 V');
    expect(text).toContain('V_EC 6.35 V');
  });

  it('tells causes with their evidence', () => {
    const text = printAnswer(speak(swing())).replace(/\s+/g, ' ');
    expect(text).toContain('down Q1 cuts off: the phones return 24.9 mA, R3 can take 7.94 mA.');
    expect(text).toContain('with Q1 lifted and all else kept');
  });

  it('sets rule and computed side by side, says how far apart, and why', () => {
    const text = printAnswer(speak(quiescent()), { width: 100 });
    expect(text).toMatch(/V\(out\) +12 V · 56k\/\(39k \+ 56k\) − 0\.65 V +6\.42 V +5\.65 V +−12 %/);
    expect(text).toContain('The rule leaves out the base current.');
  });

  it('says why there is none, and what was tried', () => {
    const text = printNoAnswer({
      question: 'swing',
      format: 1,
      title: 'A stage',
      failure: { kind: 'no-output' },
      error: 'It has no output.',
      tried: ['One thing.', 'Another.'],
      notes: [],
      warnings: ['Hot.'],
    });
    expect(text).toContain('  It has no output.\n\n  Tried    One thing.\n           Another.\n\n  Mind     Hot.\n');
  });
});

describe('a table', () => {
  it('aligns decimal points where all figures have one unit', () => {
    expect(table([{ cells: [figure(6.168, 'V'), figure(-0.2322, 'V'), figure(12, 'V')] }], 40, false)).toEqual([
      ' 6.17  V',
      '−0.232 V',
      '12.0   V',
    ]);
  });

  it('aligns units where prefixes differ', () => {
    expect(table([{ cells: [figure(0.000145, 'A'), figure(0.00831, 'A')] }], 40, false)).toEqual([' 145 µA', '8.31 mA']);
  });

  it('gives up the least needed column first, and never the first', () => {
    const columns = [{ cells: [word('Q1')] }, { cells: [figure(1, 'V')], spare: 1 }, { cells: [figure(2, 'A')], spare: 2 }];
    expect(table(columns, 30, false)[0]).toBe('Q1   1.00 V   2.00 A');
    expect(table(columns, 16, false)[0]).toBe('Q1   1.00 V');
    expect(table(columns, 5, false)[0]).toBe('Q1');
  });
});

describe('small things', () => {
  it('wraps at spaces and never between a number and its unit', () => {
    expect(wrap('it gives 0.213\u00a0V peak to peak', 15)).toEqual(['it gives', '0.213 V peak to', 'peak']);
  });

  it('says a difference in per cent, a large one as a factor, a small one not at all', () => {
    const entry = (rule: number, computed: number) => ({ quantity: 'x', unit: 'V', rule: { expression: 'x', value: rule }, computed });
    expect(difference(entry(1, 1.13))).toBe('+13\u00a0%');
    expect(difference(entry(18.8, 45.3))).toBe('×\u00a02.41');
    expect(difference(entry(1, 1.05))).toBe('');
  });
});
