import { describe, expect, it } from 'vitest';
import { ask } from '../answers/ask.ts';
import type { Answer, QuiescentAnswer, WaveformAnswer } from '../answers/types.ts';
import { layOut } from '../drawing/index.ts';
import type { Box } from '../drawing/plan.ts';
import { readSheet } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { speak } from '../words/speak.ts';
import { adjustables } from './adjust.ts';
import { holdsAt, momentAt, momentAtRest } from './instant.ts';
import { pinsFor } from './pins.ts';
import { headline, shortAnswer, verdictOf } from './verdicts.ts';

const TEXT = `footroom: 1
title: Listening post, headphone follower
supplies: { vcc: 12 V }
devices:
  q-follower: { npn: { saturationCurrent: 2e-14, forwardBeta: 180, reverseBeta: 3, earlyVoltage: 80 } }
parts:
  R1: { resistor: 39k, from: vcc, to: base }
  R2: { resistor: 56k, from: base, to: gnd }
  C1: { capacitor: 1u, from: in, to: base }
  Q1: { npn: q-follower, collector: vcc, base: base, emitter: out }
  R3: { resistor: 680, from: out, to: gnd }
  C2: { capacitor: 220u, from: out, to: jack, polarized: true }
  R4: { resistor: 4k7, from: jack, to: gnd }
drive: { node: in, sourceResistance: 600, waveform: sine, peakToPeak: 1.8 V, frequency: 440 Hz }
output: jack
loads: { phones: { resistor: 32 } }
targets: { outputPeakToPeak: 1 V, distortion: 1 % }
`;

function sheetOf(text: string): Sheet {
  const { sheet, problems } = readSheet(text);
  if (sheet === null) throw new Error(problems.map((problem) => problem.sentence).join(' '));
  return sheet;
}
const sheet = sheetOf(TEXT);
function answered<Q extends Answer['question']>(question: Q): Extract<Answer, { question: Q }> {
  const answer = ask(question, sheet);
  if ('failure' in answer) throw new Error(answer.failure.kind);
  return speak(answer, sheet) as Extract<Answer, { question: Q }>;
}
const rest: QuiescentAnswer = answered('quiescent');
const waveform: WaveformAnswer = answered('waveform');
const swing = answered('swing');

describe('verdicts', () => {
  it('let a stage fall short whose clean swing and distortion miss what the sheet asks', () => {
    expect(verdictOf(swing, sheet)).toEqual({ mark: 'fails', words: 'falls short' });
    expect(verdictOf(waveform, sheet)).toEqual({ mark: 'fails', words: 'falls short' });
  });

  it('say nothing where the sheet asks for nothing, and nothing of what is not answered', () => {
    expect(verdictOf(rest, sheet).words).toBe('');
    expect(verdictOf(undefined, sheet).words).toBe('');
    expect(verdictOf({ question: 'swing', error: 'The node x floats.', tried: [] }, sheet).words).toBe('no answer');
  });

  it('let a clean stage meet the same targets with a small drive: a small output is no shortcoming of the stage', () => {
    const modest = sheetOf(
      TEXT.replace('outputPeakToPeak: 1 V', 'outputPeakToPeak: 0.1 V').replace('peakToPeak: 1.8 V', 'peakToPeak: 0.05 V'),
    );
    const clean = ask('waveform', modest);
    if ('failure' in clean) throw new Error(clean.failure.kind);
    expect(verdictOf(clean, modest).words).toBe('meets');
  });

  it('head the page with where it flattens and why, from the first question that falls short', () => {
    const said = headline({ quiescent: rest, swing, waveform }, sheet);
    expect(said?.question).toBe('swing');
    expect(said?.text.replace(/\u00a0/g, ' ')).toMatch(/^Flat at −0\.2\d* V: /);
  });

  it('give each short answer its figures as strong pieces', () => {
    const pieces = shortAnswer(swing, sheet);
    expect(pieces.filter((piece) => piece.strong)).toHaveLength(2);
    expect(pieces.map((piece) => piece.text).join('')).toMatch(/headroom, .* of footroom: Q1 cuts off/);
  });
});

describe('the moment that the drawing shows', () => {
  it('has the resting volts and states of every device at rest', () => {
    const moment = momentAtRest(rest);
    expect(moment.time).toBeNull();
    expect(moment.nodes.out).toBe(rest.nodes.out);
    expect(moment.states).toEqual({ Q1: 'active' });
  });

  it('has a device off exactly in the stretches in which the answer says so', () => {
    const off = waveform.stretches.find((stretch) => stretch.state === 'off');
    if (off === undefined) throw new Error('the follower should let go');
    const period = waveform.period ?? Number.NaN;
    waveform.time.forEach((time, sample) => {
      expect(momentAt(waveform, sample, rest).states.Q1).toBe(holdsAt(off, time, period) ? 'off' : 'active');
    });
  });

  it('finds an instant in a stretch that runs over the end of the period', () => {
    expect(holdsAt({ from: 0.9, to: 1.2 }, 0.1, 1)).toBe(true);
    expect(holdsAt({ from: 0.9, to: 1.2 }, 0.95, 1)).toBe(true);
    expect(holdsAt({ from: 0.9, to: 1.2 }, 0.5, 1)).toBe(false);
  });

  it('obeys Kirchhoff’s law at the output at every instant, load included', () => {
    for (const sample of [0, 100, 200, 300, 400, 500]) {
      const { currents } = momentAt(waveform, sample, rest);
      const along = (name: string): number => {
        const given = currents[name];
        return 'along' in given ? given.along : Number.NaN;
      };
      // A tenth of the last figure that the drawing shows of some milliamperes.
      expect(Math.abs(along('C2') - along('R4') - along('phones'))).toBeLessThan(1e-5);
    }
  });
});

describe('pinned waveforms', () => {
  it('keep clear of everything drawn and of each other, at every width of the page', () => {
    const clear = (a: Box, b: Box): boolean => a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;
    let placed = 0;
    for (const width of [360, 440, 600]) {
      const plan = layOut(sheet, { width, potentials: rest.nodes });
      const pins = pinsFor(plan, ['jack', 'in', 'base'], { width: 96, height: 50 }, width);
      placed += pins.length;
      for (const pin of pins) {
        for (const label of plan.labels) if (!label.onPointing) expect(clear(pin.box, label.box)).toBe(true);
        for (const symbol of plan.symbols) expect(clear(pin.box, symbol.body)).toBe(true);
        for (const other of pins) if (other !== pin) expect(clear(pin.box, other.box)).toBe(true);
      }
    }
    expect(placed).toBeGreaterThan(3);
  });
});

describe('what can be turned on the drawing', () => {
  it('is the value of a part on the series that the sheet prefers, and h_FE of a device that the sheet defines', () => {
    const part = (name: string) => {
      const found = sheet.parts.find((given) => given.name === name);
      if (found === undefined) throw new Error(name);
      return found;
    };
    expect(adjustables(sheet, part('R3'))[0]).toMatchObject({
      path: 'parts.R3.resistor',
      name: 'R3, resistance',
      unit: 'Ω',
      scale: { coarse: 'E24' },
    });
    expect(adjustables(sheet, part('Q1'))[0]).toMatchObject({ path: 'devices.q-follower.npn.forwardBeta', name: 'Q1, h_FE' });
    expect(adjustables(sheet, part('C2'))[0]).toMatchObject({ path: 'parts.C2.capacitor', scale: { coarse: 'E6' } });
  });
});
