import { describe, expect, it } from 'vitest';
import { placeOf, readSheet } from './index.ts';
import { FOLLOWER, FOLLOWER_JSON, followerWith } from './testing.ts';
import type { Problem } from './types.ts';

function problemsOf(text: string): Problem[] {
  return readSheet(text).problems;
}

/** The only problem with a code, for texts that should have one. */
function problem(text: string, code: string): Problem {
  const found = problemsOf(text).filter((each) => each.code === code);
  expect(found, `${code} among ${JSON.stringify(problemsOf(text))}`).toHaveLength(1);
  return found[0];
}

describe('reading a sheet', () => {
  it('reads a sheet into SI units, with defaults filled in', () => {
    const { sheet, problems } = readSheet(FOLLOWER);
    expect(problems).toEqual([]);
    expect(sheet?.ambient).toBeCloseTo(291.15, 9);
    expect(sheet?.supplies).toEqual([{ node: 'vcc', volts: 9, resistance: 0, inductance: 0 }]);
    expect(sheet?.parts.find((part) => part.name === 'R4')).toMatchObject({ kind: 'resistor', resistance: 4700, from: 'jack', to: 'gnd' });
    expect(sheet?.parts.find((part) => part.name === 'Q1')).toMatchObject({ device: 'q-pool', parameters: { forwardBeta: 190 }, area: 1 });
    expect(sheet?.parts.find((part) => part.name === 'C2')).toMatchObject({ polarized: true, seriesResistance: 0, leakage: 0 });
    expect(sheet?.drive).toMatchObject({ amplitude: { form: 'peakToPeak', volts: 1.8 }, offset: 0, atNode: false });
    expect(sheet?.load).toBe('phones');
    expect(sheet?.targets).toEqual({ distortion: { atMost: 0.01 } });
    expect(sheet?.series).toEqual({ resistors: 'E24', capacitors: 'E6' });
  });

  it('reads JSON as well', () => {
    const { sheet, problems } = readSheet(FOLLOWER_JSON);
    expect(problems).toEqual([]);
    expect(sheet?.parts).toHaveLength(4);
  });

  it('takes node names as written, though YAML would read a number, a truth value or nothing', () => {
    const text =
      'footroom: 1\nsupplies: { null: 5 V }\nparts:\n  R1: { resistor: 1k, from: null, to: 1e3 }\n  R2: { resistor: 1k, from: 1e3, to: true }\n  R3: { resistor: 1k, from: "true", to: gnd }\n';
    const { sheet, problems } = readSheet(text);
    expect(problems).toEqual([]);
    expect(sheet?.supplies[0].node).toBe('null');
    expect(sheet?.parts[1]).toMatchObject({ from: '1e3', to: 'true' });
  });

  it('places a path in the text', () => {
    const { document } = readSheet(FOLLOWER);
    expect(placeOf(document, 'parts.R3.resistor')).toEqual({ line: 15, column: 19 });
    expect(placeOf(document, 'parts.C2')).toEqual({ line: 16, column: 3 });
    expect(placeOf(document, 'parts.C2.nothing').line).toBe(16);
  });

  it('resolves aliases', () => {
    const text = followerWith('R2: { resistor: 39k, ', 'R2: { resistor: &r 39k, ').replace('resistor: 470', 'resistor: *r');
    expect(readSheet(text).sheet?.parts.find((part) => part.name === 'R3')).toMatchObject({ resistance: 39000 });
  });
});

describe('refusing a sheet', () => {
  it('reports every problem at once, each at its line', () => {
    const text = followerWith('resistor: 27k', 'resistor: 27 A')
      .replace(', to: gnd }\n  C1', ' }\n  C1')
      .replace('waveform: sine', 'wavefrom: sine');
    const lines = problemsOf(text).map(({ place, code }) => [place.line, code]);
    expect(lines).toEqual([
      [11, 'wrong-unit'],
      [12, 'missing-connection'],
      [26, 'unknown-key'],
    ]);
  });

  it.each([
    ['a misspelt kind', 'R3: { resistor: 470', 'R3: { resistr: 470', 'unknown-key', /resistr.*resistor/],
    ['a decimal comma inside braces', '4.7 kohm', '4,7 kohm', 'decimal-comma', /4,7 kohm.*write 4\.7 kohm/],
    ['a decimal comma in a block', 'capacitor: 100u', 'capacitor: 2,2u', 'decimal-comma', /write 2u2 or 2\.2u/],
    ['an unknown device', 'npn: q-pool', 'npn: q-pol', 'unknown-device', /q-pol.*q-pool/],
    ['a device of the wrong kind', 'npn: q-pool', 'npn: d-clip', 'wrong-device-kind', /NPN.*diode/],
    ['an unknown load', 'load: phones', 'load: phone', 'unknown-load', /phone.*phones/],
    ['an unknown drive node', 'node: in', 'node: inn', 'unknown-node', /inn/],
    ['an unknown output', 'output: jack', 'output: jak', 'unknown-node', /jak.*jack/],
    ['a resistance of zero', 'resistor: 470', 'resistor: 0', 'out-of-range', /above zero/],
    ['a bare percentage', 'distortion: 1 %', 'distortion: 3', 'share-above-one', /3 %/],
    ['a temperature without unit', '18 °C', '18', 'needs-unit', /18 °C/],
    ['another format', 'footroom: 1', 'footroom: 2', 'unknown-version', /format 2/],
    ['both ends on one node', 'from: jack, to: gnd', 'from: gnd, to: gnd', 'one-node', /R4/],
    ['two kinds at once', 'resistor: 470,', 'resistor: 470, capacitor: 1n,', 'two-kinds', /resistor.*capacitor/],
    ['a missing parameter', ', reverseBeta: 3', '', 'missing-key', /reverseBeta/],
    [
      'a charge without its exponent',
      'ideality: 1.9',
      'ideality: 1.9, junctionCapacitance: 4p, junctionPotential: 0.7',
      'missing-key',
      /junctionGrading/,
    ],
    ['no frequency', '  frequency: 440 Hz\n', '', 'missing-key', /frequency/],
    ['a leakage without rating', '    rating: 16 V\n', '    leakage: 1 µA\n', 'missing-key', /rating/],
    ['a supplied ground', 'vcc: 9 V', 'vcc: 9 V\n  gnd: 1 V', 'ground-supplied', /gnd/],
    ['an empty load', 'resistor: 32, sensitivity: 102 dB', 'sensitivity: 102 dB', 'empty-load', /phones/],
    ['a part without kind', 'R3: { resistor: 470, ', 'R3: { ', 'no-kind', /R3/],
    ['an unknown heat sink', 'emitter: out }', 'emitter: out, heatSink: fin }', 'unknown-heat-sink', /fin/],
  ])('refuses %s with the remedy', (_, line, by, code, sentence) => {
    expect(problem(followerWith(line, by), code).sentence).toMatch(sentence);
    expect(readSheet(followerWith(line, by)).sheet).toBeNull();
  });

  it('reports a designator given twice at both places', () => {
    const twice = problemsOf(followerWith('R2: {', 'R1: {'));
    expect(twice.map(({ code, place }) => [code, place.line])).toEqual([
      ['duplicate-designator', 11],
      ['duplicate-designator', 12],
    ]);
  });

  it('reports two amplitudes at both places', () => {
    const two = problemsOf(followerWith('  frequency:', '  rms: 0.6 V\n  frequency:'));
    expect(two.map(({ code, place }) => [code, place.line])).toEqual([
      ['two-amplitudes', 27],
      ['two-amplitudes', 28],
    ]);
  });

  it('reports several faults of the YAML itself', () => {
    const { sheet, problems } = readSheet('footroom: 1\nparts:\n\tR1: x\n  R2: { resistor: 1k\nnotes: "open\n');
    expect(sheet).toBeNull();
    expect(problems.length).toBeGreaterThan(1);
    expect(problems.every(({ code, sentence }) => code === 'not-yaml' && sentence.length > 20)).toBe(true);
  });

  it.each([
    ['nothing', ''],
    ['a list', '- 1\n- 2\n'],
    ['a word', 'sheet'],
    ['a number', '7'],
    ['two documents', `${FOLLOWER}---\n${FOLLOWER}`],
    ['a tag', 'footroom: !!binary 1\nsupplies: {}\nparts: {}\n'],
    ['too much text', `footroom: 1\nnotes: ${'a'.repeat(400_000)}`],
    ['deep brackets', `footroom: ${'['.repeat(5000)}`],
    ['deep dashes', '- '.repeat(40_000)],
    ['a map that holds itself', 'footroom: 1\nsupplies: {}\nparts: {}\nlesson: &a [ *a ]\n'],
  ])('refuses %s in words', (_, text) => {
    const { sheet, problems } = readSheet(text);
    expect(sheet).toBeNull();
    expect(problems.length).toBeGreaterThan(0);
    expect(problems[0].place.line).toBeGreaterThan(0);
  });

  it('refuses many aliases of many aliases without expanding them', () => {
    const rows = Array.from({ length: 30 }, (_, n) => `  a${n}: &a${n} [${`*a${Math.max(0, n - 1)}, `.repeat(9)}x]`).join('\n');
    const started = performance.now();
    expect(readSheet(`footroom: 1\nsupplies: {}\nparts: {}\nlesson:\n${rows}\n`).sheet).toBeNull();
    // Milliseconds on a quiet machine; expanding them would outlive it.
    expect(performance.now() - started).toBeLessThan(10_000);
  });
});

describe('warning about a sheet', () => {
  it('names the lone end of a part and the name that was meant', () => {
    const warning = problem(followerWith('from: base, to: gnd }', 'from: base, to: gdn }'), 'lone-end');
    expect(warning.severity).toBe('warning');
    expect(warning.sentence).toMatch(/gdn.*gnd/);
  });

  it('tells names that differ in capitals alone', () => {
    expect(
      problem(
        followerWith('emitter: out }', 'emitter: Out }').replace('R3: { resistor: 470, from: out', 'R3: { resistor: 470, from: Out'),
        'differs-in-case',
      ).sentence,
    ).toMatch(/out.*Out|Out.*out/);
  });

  it('tells parts that can carry no current', () => {
    const idle = followerWith('load: phones', 'load: phones').replace(
      'drive:',
      '  R8: { resistor: 1k, from: out, to: x }\n  C8: { capacitor: 1n, from: x, to: y }\n  R9: { resistor: 1k, from: y, to: z }\n  D9: { diode: d-clip, anode: y, cathode: z }\ndrive:',
    );
    const names = problemsOf(idle)
      .filter(({ code }) => code === 'carries-no-current')
      .map(({ path }) => path);
    expect(names).toEqual(['parts.R8', 'parts.C8']);
  });

  it('says nothing of the output, which may be left to the reader', () => {
    expect(problemsOf(FOLLOWER_JSON)).toEqual([]);
  });
});
