import { describe, expect, it } from 'vitest';
import type { QuiescentAnswer, TransistorFigures } from '../answers/types.ts';
import { readSheet } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { quiescentSentences } from './quiescent.ts';
import { surroundingsOf } from './surroundings.ts';
import { quiescent } from './testing/answers.ts';

const plain = (texts: readonly string[]): string => texts.join(' ').replace(/\u00a0/g, ' ');

function sheetOf(parts: string): Sheet {
  const { sheet, problems } = readSheet(`footroom: 1
title: A stage
supplies: { vcc: 9 V }
drive: { node: in, waveform: sine, peakToPeak: 1 V, frequency: 1 kHz }
output: far
parts:
  C2: { capacitor: 100u, from: end, to: far }
${parts}`);
  if (sheet === null) throw new Error(problems.map((problem) => problem.sentence).join(' '));
  return sheet;
}

function said(answer: QuiescentAnswer, sheet: Sheet): string {
  return plain(quiescentSentences(answer, surroundingsOf(answer, sheet)));
}

function transistor(): TransistorFigures {
  const { Q1 } = quiescent().parts;
  if (!('collectorCurrent' in Q1)) throw new Error('Q1 is a transistor');
  return Q1;
}

describe('a stage at rest, in words', () => {
  it('names the emitter behind a resistor where the output is fed through one', () => {
    const sheet = sheetOf(`  Q1: { npn: small-signal, collector: vcc, base: in, emitter: out }
  R5: { resistor: 47, from: out, to: end }`);
    expect(said({ ...quiescent(), nodes: { out: 5.25, end: 5.25, far: 0 } }, sheet)).toMatch(/^out rests at 5.25 V and Q1 stands at/);
  });

  it('names the joint of two emitter resistors rather than what the capacitor leaves of it', () => {
    const sheet = sheetOf(`  Q1: { npn: small-signal, collector: vcc, base: in, emitter: e1 }
  Q2: { pnp: small-signal, collector: gnd, base: in, emitter: e2 }
  R5: { resistor: 1, from: e1, to: end }
  R6: { resistor: 1, from: e2, to: end }`);
    expect(said({ ...quiescent(), nodes: { end: 6, far: 0, e1: 6, e2: 6 } }, sheet)).toMatch(/^end rests at 6 V/);
  });

  it('says of a stage that is off that it is off and takes next to nothing', () => {
    const off: TransistorFigures = { ...transistor(), region: 'off', collectorCurrent: 1e-13 };
    const sheet = sheetOf('  Q1: { npn: small-signal, collector: vcc, base: in, emitter: end }');
    const answer: QuiescentAnswer = {
      ...quiescent(),
      ledger: [],
      nodes: { end: 0, far: 0 },
      parts: { Q2: off, Q1: off },
      supplies: { vcc: { current: 1e-13, power: 1e-12 } },
    };
    expect(said(answer, sheet)).toBe('end rests at 0 V; Q1 and Q2 are off. The stage takes next to nothing from vcc.');
  });
});
