import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FOLLOWER, footroom, temporaryFolder } from './testing.ts';

const folder = temporaryFolder();
let sheet: string;
beforeAll(() => {
  sheet = folder.write('follower.sheet.yaml', FOLLOWER);
});
afterAll(() => folder.remove());

describe('footroom draw', () => {
  it('writes the drawing with the volts at rest on it', () => {
    const file = join(folder.path, 'follower.svg');
    const { status, out, err } = footroom(['draw', sheet, '-o', file]);
    expect([status, out, err]).toEqual([0, '', '']);
    const svg = readFileSync(file, 'utf8');
    expect(svg).toMatch(/^<svg /);
    expect(svg).toContain('47k');
    expect(svg).toMatch(/4\.\d+/);
  });

  it('writes to standard output for -, and without values when asked to', () => {
    const bare = footroom(['draw', sheet, '-o', '-', '--bare']);
    expect(bare.status).toBe(0);
    expect(bare.out).toMatch(/^<svg /);
    expect(bare.out.length).toBeLessThan(footroom(['draw', sheet, '-o', '-']).out.length);
  });

  it('draws the changed circuit', () => {
    const { out } = footroom(['draw', sheet, '-o', '-', '--set', 'parts.R3.resistor=330']);
    expect(out).toContain('330');
  });

  it('says where it cannot write, without a trace of the program', () => {
    const { status, err } = footroom(['draw', sheet, '-o', join(folder.path, 'no-such-folder', 'a.svg')]);
    expect(status).toBe(2);
    expect(err).toMatch(/cannot be written: there is no such file or folder/);
    expect(err).not.toContain('    at ');
  });
});

describe('footroom ask --figure', () => {
  it.each(['quiescent', 'swing', 'impedance', 'waveform'])('writes the figure of %s', (question) => {
    const file = join(folder.path, `${question}.svg`);
    const { status, err } = footroom(['ask', question, sheet, '--json', '--figure', file]);
    expect(err).toBe('');
    expect(status).toBe(0);
    expect(readFileSync(file, 'utf8')).toMatch(/^<svg [\s\S]*<\/svg>\s*$/);
  });
});
