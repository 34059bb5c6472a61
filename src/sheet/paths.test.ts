import { describe, expect, it } from 'vitest';
import { quantityAt, quantityPaths, readSheet, withValue } from './index.ts';
import { FOLLOWER } from './testing.ts';
import type { Sheet } from './types.ts';

function sheetOf(text: string): Sheet {
  const { sheet, problems } = readSheet(text);
  if (sheet === null) throw new Error(JSON.stringify(problems));
  return sheet;
}

const sheet = sheetOf(FOLLOWER);

describe('quantities by path', () => {
  it.each([
    ['ambient', 291.15, 'temperature'],
    ['supplies.vcc', 9, 'V'],
    ['supplies.vcc.resistance', 0, 'Ω'],
    ['parts.R3.resistor', 470, 'Ω'],
    ['parts.R3.power', 0.25, 'W'],
    ['parts.C2.rating', 16, 'V'],
    ['parts.Q1.area', 1, 'number'],
    ['drive.peakToPeak', 1.8, 'V'],
    ['drive.rms', undefined, 'V'],
    ['drive.frequency', 440, 'Hz'],
    ['loads.phones.resistor', 32, 'Ω'],
    ['devices.q-pool.npn.forwardBeta', 190, 'number'],
    ['targets.distortion', 0.01, 'share'],
  ])('finds %s', (path, value, unit) => {
    expect(quantityAt(sheet, path)).toEqual({ path, value, unit });
  });

  it.each([
    'parts.R77.resistor',
    'parts.R3.capacitor',
    'drive.nothing',
    'output',
    '',
    'parts',
    '__proto__',
    'parts.R3.constructor',
    'loads.none.resistor',
    'drive.waveform',
  ])('finds no quantity at "%s"', (path) => {
    expect(quantityAt(sheet, path)).toBeNull();
    expect(() => withValue(sheet, path, 1)).toThrow(RangeError);
  });

  it('changes one quantity and shares the rest', () => {
    const next = withValue(sheet, 'parts.R3.resistor', 330);
    expect(quantityAt(next, 'parts.R3.resistor')?.value).toBe(330);
    expect(quantityAt(sheet, 'parts.R3.resistor')?.value).toBe(470);
    expect(next.parts.filter((part, index) => part !== sheet.parts[index]).map(({ name }) => name)).toEqual(['R3']);
    expect(next.drive).toBe(sheet.drive);
  });

  it('changes a device and the parts that use it', () => {
    const next = withValue(sheet, 'devices.q-pool.npn.forwardBeta', 80);
    expect(next.parts.find((part) => part.name === 'Q1')).toMatchObject({ parameters: { forwardBeta: 80 } });
  });

  it('replaces the form of the amplitude', () => {
    expect(withValue(sheet, 'drive.rms', 0.5).drive?.amplitude).toEqual({ form: 'rms', volts: 0.5 });
  });

  it('sets every listed path to its own value and back to an equal sheet', () => {
    const paths = quantityPaths(sheet);
    expect(paths.length).toBeGreaterThan(25);
    for (const path of paths) expect(withValue(sheet, path, quantityAt(sheet, path)?.value ?? 0)).toEqual(sheet);
  });

  it('is the same as reading the sheet with the value in its text', () => {
    expect(withValue(sheet, 'loads.phones.resistor', 64)).toEqual(sheetOf(FOLLOWER.replace('resistor: 32', 'resistor: 64')));
    expect(withValue(sheet, 'supplies.vcc', 12)).toEqual(sheetOf(FOLLOWER.replace('vcc: 9 V', 'vcc: 12 V')));
  });

  it('takes a few microseconds, so that a knob can be turned within a frame', () => {
    const rounds = 20_000;
    let best = Number.POSITIVE_INFINITY;
    for (let attempt = 0; attempt < 5; attempt += 1) {
      const started = performance.now();
      let next = sheet;
      for (let round = 0; round < rounds / 5; round += 1) next = withValue(next, 'parts.R4.resistor', 100 + round);
      best = Math.min(best, ((performance.now() - started) * 1000) / (rounds / 5));
      expect(next.parts).toHaveLength(sheet.parts.length);
    }
    // Some 2 µs on a quiet machine; reading the sheet again would take thousands.
    expect(best).toBeLessThan(200);
  });
});
