import { describe, expect, it } from 'vitest';
import { readDocument, type Verb } from '../sheet/index.ts';
import { FOLLOWER, followerWith } from '../sheet/testing.ts';
import { applyAndCheck, checkSheet, isElectrical, topologyProblems } from './check.ts';
import { checkTopology } from './topology.ts';

function found(text: string): [string, string, string][] {
  return checkSheet(text)
    .problems.filter(isElectrical)
    .map(({ severity, code, path }) => [severity, code, path]);
}

const more = (part: string): string => followerWith('drive:\n', `  ${part}\ndrive:\n`);

describe('nodes without a path for direct current', () => {
  it('are refused with the node, what leads there and a cure', () => {
    const text = followerWith(
      'C1: { capacitor: 2u2, from: in, to: base }',
      'C1: { capacitor: 2u2, from: in, to: mid }\n  C3: { capacitor: 1u, from: mid, to: base }',
    );
    expect(found(text)).toEqual([['error', 'floating-node', 'parts.C1.to']]);
    const { sheet, problems } = checkSheet(text);
    expect(sheet).toBeNull();
    expect(problems[0].sentence).toMatch(/node mid.*C1 and C3.*resistor.*from mid/);
    expect(problems[0].place.line).toBe(13);
  });

  it.each([
    ['a junction', 'D1: { diode: d-clip, anode: x, cathode: gnd }\n  C9: { capacitor: 1n, from: x, to: out }'],
    ['an inductor', 'L1: { inductor: 1m, from: x, to: gnd }\n  C9: { capacitor: 1n, from: x, to: out }'],
    [
      'a leaky capacitor',
      'C8: { capacitor: 1u, from: x, to: gnd, rating: 16 V, leakage: 1 µA }\n  C9: { capacitor: 1n, from: x, to: out }',
    ],
  ])('are none behind %s', (_, parts) => {
    expect(found(more(parts))).toEqual([]);
  });

  it('are those behind current sources and capacitors alone', () => {
    expect(found(more('I1: { current: 1 mA, from: vcc, to: x }\n  C9: { capacitor: 1n, from: x, to: out }'))).toEqual([
      ['error', 'floating-node', 'parts.I1.to'],
    ]);
  });

  it('are a warning that names the loads where only some leave them afloat', () => {
    const text = followerWith('  R4: { resistor: 4.7 kohm, from: jack, to: gnd }\n', '');
    expect(found(text)).toEqual([['warning', 'floating-node', 'parts.C2.to']]);
    const { sheet, document, problems } = checkSheet(text);
    if (sheet === null) throw new Error('the sheet should be read');
    expect(problems[0].sentence).toMatch(/load none/);
    expect(checkTopology(sheet, 'none').flatMap(({ nodes }) => nodes)).toEqual(['jack']);
    expect(checkTopology(sheet, 'phones')).toEqual([]);
    expect(topologyProblems(document, sheet, 'none')[0]).toMatchObject({ severity: 'error', code: 'floating-node' });
    expect(topologyProblems(document, sheet, 'phones')).toEqual([]);
  });

  it('are an error where every load leaves them afloat', () => {
    const text = followerWith('  R4: { resistor: 4.7 kohm, from: jack, to: gnd }\n', '').replace('resistor: 32,', 'capacitor: 1n,');
    expect(found(text)).toEqual([['error', 'floating-node', 'parts.C2.to']]);
  });

  it('are told of a lifted part, by their name', () => {
    const lift: Verb[] = ['R1', 'R2', 'Q1'].map((part) => ({ verb: 'lift', part }));
    const { sheet, problems } = applyAndCheck(readDocument(FOLLOWER), lift);
    expect(sheet).toBeNull();
    expect(problems.filter(isElectrical)[0].sentence).toMatch(/node base/);
  });

  it('count a short as a path', () => {
    const { problems } = applyAndCheck(readDocument(FOLLOWER), [
      { verb: 'lift', part: 'R4' },
      { verb: 'short', part: 'C2' },
    ]);
    expect(problems.filter(isElectrical)).toEqual([]);
  });
});

describe('loops in which nothing resists', () => {
  it.each([
    ['a source across a supply', 'V1: { voltage: 8 V, from: vcc, to: gnd }', /vcc and V1.*give V1 a `resistance`/],
    [
      'two inductors side by side',
      'L1: { inductor: 1m, from: out, to: x }\n  L2: { inductor: 1m, from: x, to: out }',
      /L1 and L2.*seriesResistance/,
    ],
    ['an inductor across a supply', 'L1: { inductor: 1m, from: vcc, to: gnd }', /vcc and L1/],
    ['a ring of three', 'V1: { voltage: 1 V, from: vcc, to: x }\n  V2: { voltage: 8 V, from: x, to: gnd }', /V1.*V2|V2.*V1/],
  ])('are refused: %s', (_, parts, sentence) => {
    const { sheet, problems } = checkSheet(more(parts));
    expect(sheet).toBeNull();
    expect(problems.find(isElectrical)?.sentence).toMatch(sentence);
  });

  it.each([
    ['a source with resistance', 'V1: { voltage: 8 V, from: vcc, to: gnd, resistance: 1 }'],
    ['an inductor with the resistance of its wire', 'L1: { inductor: 1m, from: vcc, to: gnd, seriesResistance: 2 }'],
    ['a trimmer at its end, wired as a variable resistor', 'R9: { trimmer: 1k, from: out, to: gnd, wiper: out, position: 0 }'],
  ])('are none with %s', (_, part) => {
    expect(found(more(part))).toEqual([]);
  });

  it('count a stiff generator and a part that is shorted', () => {
    expect(
      found(followerWith('sourceResistance: 600', 'sourceResistance: 0').replace('node: in', 'node: vcc')).map(([, code]) => code),
    ).toContain('source-loop');
    const { problems } = applyAndCheck(readDocument(FOLLOWER), [
      { verb: 'short', part: 'R1' },
      { verb: 'short', part: 'R2' },
    ]);
    expect(problems.filter(isElectrical)[0].sentence).toMatch(/R1.*R2.*take the short of R2 away/);
  });

  it('are told only of the load that makes them', () => {
    const text = followerWith('  phones: {', '  choke: { inductor: 1m }\n  phones: {')
      .replace('output: jack', 'output: out')
      .replace('drive:\n', '  L1: { inductor: 1m, from: out, to: gnd }\ndrive:\n');
    expect(found(text)).toEqual([['warning', 'source-loop', 'loads.choke']]);
    const { sheet } = checkSheet(text);
    expect(sheet === null ? [] : checkTopology(sheet, 'choke').map(({ severity }) => severity)).toEqual(['error']);
  });
});
