import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readSheet, withValue } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { ask } from './ask.ts';
import type { QuiescentAnswer, SwingAnswer, WaveformAnswer } from './types.ts';
import { Warm } from './warm.ts';

const FOLDER = new URL('../../examples/', import.meta.url);
const examples = readdirSync(FOLDER).filter((name) => name.endsWith('.sheet.yaml'));

function sheetOf(name: string): Sheet {
  const { sheet } = readSheet(readFileSync(new URL(name, FOLDER), 'utf8'));
  if (sheet === null) throw new Error(`${name} is no sound sheet`);
  return sheet;
}

/** The sheet at a few positions of two knobs, as a drag would leave them. */
function dragged(sheet: Sheet): Sheet[] {
  const peak = sheet.drive?.amplitude?.volts;
  const frequency = sheet.drive?.frequency ?? 1000;
  const turned = [1, 1.05, 1.1].map((factor) => withValue(sheet, 'drive.frequency', frequency * factor));
  if (peak === undefined) return turned;
  const form = sheet.drive?.amplitude?.form === 'rms' ? 'rms' : 'peakToPeak';
  return [...turned, withValue(sheet, `drive.${form}`, (form === 'rms' ? 1 : 2) * peak * 0.95)];
}

describe('a brief answer that starts from the one before', () => {
  for (const name of examples) {
    it(`says of ${name} what the full answer says, within the accuracy it claims`, () => {
      const warm = new Warm();
      const positions = dragged(sheetOf(name));
      for (const sheet of positions)
        for (const question of ['quiescent', 'waveform', 'swing'] as const) ask(question, sheet, { brief: true }, warm);
      const sheet = positions[positions.length - 1];
      const rest = ask('quiescent', sheet, { brief: true }, warm) as QuiescentAnswer;
      const restInFull = ask('quiescent', sheet, { search: false }) as QuiescentAnswer;
      for (const [node, volts] of Object.entries(restInFull.nodes)) expect(rest.nodes[node]).toBeCloseTo(volts, 4);
      const wave = ask('waveform', sheet, { brief: true }, warm) as WaveformAnswer;
      const waveInFull = ask('waveform', sheet, { help: false }) as WaveformAnswer;
      const output = sheet.output as string;
      const span = waveInFull.measures[output].peakToPeak;
      const apart = waveInFull.nodes[output].map((volts, k) => Math.abs(volts - wave.nodes[output][k]));
      expect(Math.max(...apart) / span).toBeLessThan(1e-3);
      const told = (answer: WaveformAnswer) => answer.stretches.map(({ part, state, cause }) => [part, state, cause?.part, cause?.event]);
      expect(told(wave)).toEqual(told(waveInFull));
      const swing = ask('swing', sheet, { brief: true }, warm) as SwingAnswer;
      const swingInFull = ask('swing', sheet, { help: false }) as SwingAnswer;
      for (const side of ['high', 'low'] as const) {
        expect(swing[side]?.cause.event).toBe(swingInFull[side]?.cause.event);
        expect(swing[side]?.cause.part).toBe(swingInFull[side]?.cause.part);
        expect(Math.abs((swing[side]?.volts ?? 0) - (swingInFull[side]?.volts ?? 0))).toBeLessThan(1e-3);
      }
      expect(swing.brief).toBe(true);
      expect(swingInFull.brief).toBeUndefined();
    });
  }

  it('opens a stage of another structure afresh', () => {
    const warm = new Warm();
    ask('waveform', sheetOf('headphone-follower.sheet.yaml'), { brief: true }, warm);
    const pair = sheetOf('pair-multiplier.sheet.yaml');
    const after = ask('waveform', pair, { brief: true }, warm) as WaveformAnswer;
    expect(after.measures).toEqual((ask('waveform', pair, { brief: true }) as WaveformAnswer).measures);
  });
});
