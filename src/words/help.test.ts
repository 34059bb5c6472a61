import { describe, expect, it } from 'vitest';
import type { Help, SwingAnswer } from '../answers/types.ts';
import { helpSentence, markOf } from './help.ts';
import { speak } from './speak.ts';
import { swing } from './testing/answers.ts';

const help: Help = {
  verbs: [
    { path: 'parts.R3.resistor', value: 150 },
    { path: 'parts.R1.resistor', value: 8200, divider: true },
    { path: 'parts.R2.resistor', value: 12_000, divider: true },
  ],
  figure: 'flat',
  before: -0.25,
  after: -1.2,
  enough: true,
  sentence: '',
};
const plain = (text: string): string => text.replace(/\u00a0/g, ' ');

describe('what would help, in words', () => {
  it('names the resistor with its value and the divider by its marks', () => {
    expect(plain(helpSentence(help))).toBe(
      'With R3 at 150 Ω and the divider stiffened to match (R1 8k2, R2 12k) the flat moves to −1.2 V.',
    );
  });

  it('says where it falls short, and joins parts of one value', () => {
    const both: Help = {
      ...help,
      verbs: [
        { path: 'parts.R1.resistor', value: 390 },
        { path: 'parts.R2.resistor', value: 390 },
      ],
      figure: 'limit',
      enough: false,
    };
    expect(plain(helpSentence(both))).toBe('With R1 and R2 at 390 Ω the limit moves to −1.2 V; that is still short of what is asked for.');
  });

  it('gives a supply in volts', () => {
    const raised: Help = { ...help, verbs: [{ path: 'supplies.vcc.volts', value: 15 }], after: 7.4 };
    expect(plain(helpSentence(raised))).toBe('With vcc at 15 V the flat moves to 7.4 V.');
  });

  // IEC 60062: the letter stands for the decimal mark.
  it.each([
    [0.47, '470m'],
    [1.5, '1R5'],
    [150, '150R'],
    [8200, '8k2'],
    [12_000, '12k'],
    [4_870, '4k87'],
    [2.2e6, '2M2'],
  ])('marks %s ohm as %s', (ohms, mark) => {
    expect(markOf(ohms)).toBe(mark);
  });

  it('stands in the answer once it is spoken', () => {
    const asked = swing();
    const answer = speak({ ...asked, low: asked.low && { ...asked.low, help } }) as SwingAnswer;
    expect(answer.low?.help?.sentence).toBe(helpSentence(help));
  });
});
