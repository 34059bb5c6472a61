import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { QuiescentAnswer } from '../answers/types.ts';
import { FOLLOWER, footroom, temporaryFolder } from './testing.ts';

const folder = temporaryFolder();
let sheet: string;
beforeAll(() => {
  sheet = folder.write('follower.sheet.yaml', FOLLOWER);
});
afterAll(() => folder.remove());

const json = (out: string): Record<string, unknown> => JSON.parse(out) as Record<string, unknown>;

describe('footroom ask', () => {
  it('prints one JSON object and nothing else with --json, and ends with status 0', () => {
    const { status, out, err } = footroom(['ask', 'quiescent', sheet, '--json']);
    expect(err).toBe('');
    expect(status).toBe(0);
    expect(json(out)).toMatchObject({ question: 'quiescent', format: 1, title: 'Listening post, follower', load: 'none' });
  });

  it('prints the answer for people without it, in plain characters when no terminal reads', () => {
    const { status, out } = footroom(['ask', 'quiescent', sheet]);
    expect(status).toBe(0);
    expect(out).toContain('Listening post, follower');
    expect(out).not.toContain('\u001b[');
  });

  it('reads the sheet from standard input for -', () => {
    const { status, out } = footroom(['ask', 'quiescent', '-', '--json'], { input: FOLLOWER });
    expect(status).toBe(0);
    expect(json(out).title).toBe('Listening post, follower');
  });

  it('refuses a wrong sheet with status 2 and every problem as file:line:column: sentence', () => {
    const wrong = folder.write('wrong.sheet.yaml', FOLLOWER.replace('resistor: 47k', 'resistr: 47k').replace('1 V, freq', '1 A, freq'));
    const { status, out, err } = footroom(['ask', 'quiescent', wrong]);
    expect(status).toBe(2);
    expect(out).toBe('');
    const lines = err.trimEnd().split('\n');
    expect(lines.length).toBeGreaterThanOrEqual(2);
    for (const line of lines) expect(line).toMatch(/^.*wrong\.sheet\.yaml:\d+:\d+: \S.*[.?]$/);
    expect(lines.find((line) => line.includes(':6:'))).toMatch(/resistr.*resistor/);
  });

  it('gives the problems as an object too with --json', () => {
    const { status, out, err } = footroom(['ask', 'quiescent', '-', '--json'], { input: FOLLOWER.replace('emitter: out ', '') });
    expect(status).toBe(2);
    expect(err).toMatch(/^standard input:9:\d+: .*emitter/);
    expect(json(out).problems).toEqual([expect.objectContaining({ file: 'standard input', line: 9, path: 'parts.Q1.emitter' })]);
  });

  it.each([
    [['--lift', 'R9'], /^command line:1:\d+: .*R9/],
    [['--set', 'parts.R3.resistr=330'], /^command line:1:\d+: .*resistr/],
    [['--set', 'parts.R3.resistor=330 V'], /^command line:1:\d+: .*Ω/],
    [['--load', 'horn'], /^command line:1:\d+: .*horn/],
    [['--tack', 'R9: { resistor: 1k, from: out }'], /^command line:1:\d+: .*`?to`?/],
    [['--frobnicate'], /^command line:1:\d+: .*--frobnicate/],
    [['--samples', '1.5'], /^command line:1:\d+: .*whole number/],
    [['--from', '3 V'], /^command line:1:\d+: .*hertz/],
  ])('refuses %j with status 2 and a sentence', (options, sentence) => {
    const { status, err } = footroom(['ask', 'quiescent', sheet, ...options]);
    expect(err).toMatch(sentence);
    expect(status).toBe(2);
  });

  it('refuses a question that there is not, and names the nearest', () => {
    const { status, err } = footroom(['ask', 'swung', sheet]);
    expect(status).toBe(2);
    expect(err).toMatch(/swung.*swing/);
  });

  it('says in words that a file is missing', () => {
    const { status, err } = footroom(['ask', 'quiescent', 'no-such.sheet.yaml']);
    expect(status).toBe(2);
    expect(err).toMatch(/no-such\.sheet\.yaml.*there is no such file/);
    expect(err).not.toContain('ENOENT');
  });

  it('answers with status 1, and the node in the sentence, where a lift makes a node float', () => {
    const { status, out, err } = footroom(['ask', 'quiescent', sheet, '--json', '--lift', 'R3', '--lift', 'Q1']);
    expect(status).toBe(1);
    expect(String(json(out).error)).toMatch(/\bout\b/);
    expect(err).toContain(String(json(out).error));
  });

  it('refuses a sheet whose connections cannot work as it is written, with status 2 and the place', () => {
    const split = '{ capacitor: 1u, from: in, to: mid }\n  C2: { capacitor: 1u, from: mid, to: base }';
    const afloat = FOLLOWER.replace('{ capacitor: 1u, from: in, to: base }', split);
    const { status, err } = footroom(['ask', 'quiescent', '-'], { input: afloat });
    expect(status).toBe(2);
    expect(err).toMatch(/^standard input:8:\d+: The node mid /);
  });

  it('answers with status 1, and the nodes in the sentence, where a short closes a loop of sources', () => {
    const { status, err } = footroom(['ask', 'quiescent', sheet, '--short', 'Q1', '--short', 'R3']);
    expect(status).toBe(1);
    expect(err.replace(/\s+/g, ' ')).toMatch(/Q1.*R3.*loop.*\bvcc\b/);
  });

  it('makes the changes in the order given', () => {
    const add = ['--tack', 'R9: { resistor: 1k, from: out, to: gnd }'];
    const change = ['--set', 'parts.R9.resistor=100k'];
    const after = footroom(['ask', 'quiescent', sheet, '--json', ...add, ...change]);
    expect(after.status).toBe(0);
    const { parts } = json(after.out) as unknown as QuiescentAnswer;
    const r9 = parts.R9 as { voltage: number; current: number };
    expect(r9.voltage / r9.current).toBeCloseTo(100e3, 3);
    expect(footroom(['ask', 'quiescent', sheet, ...change, ...add]).status).toBe(2);
  });

  it('says when an option has no effect on the question', () => {
    const { status, err } = footroom(['ask', 'quiescent', sheet, '--samples', '64']);
    expect(status).toBe(0);
    expect(err).toMatch(/--samples .*quiescent/);
  });
});
