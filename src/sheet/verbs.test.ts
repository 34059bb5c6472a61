import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  apply,
  applyText,
  applyVerbs,
  nextSteps,
  parseSet,
  readDocument,
  readSheet,
  redo,
  startHistory,
  undo,
  type Verb,
  verbName,
  writeSheet,
} from './index.ts';
import { FOLLOWER, FOLLOWER_JSON } from './testing.ts';
import type { Part } from './types.ts';

const CRLF = FOLLOWER.replaceAll('\n', '\r\n');

/** Lines that an edit took away and put in. */
function changed(verbs: Verb[], text = FOLLOWER): { gone: string[]; come: string[] } {
  const after = done(verbs, text);
  const before = text.split('\n');
  const lines = after.split('\n');
  return { gone: before.filter((line) => !lines.includes(line)), come: lines.filter((line) => !before.includes(line)) };
}

function done(verbs: Verb[], text = FOLLOWER): string {
  const { document, sheet, problems } = applyVerbs(readDocument(text), verbs);
  expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
  expect(sheet).not.toBeNull();
  return writeSheet(document);
}

function partOf(text: string, name: string): Part {
  const part = readSheet(text).sheet?.parts.find((each) => each.name === name);
  if (part === undefined) throw new Error(`no part ${name}`);
  return part;
}

describe('bench verbs', () => {
  it('leave every byte as it was where nothing is done', () => {
    for (const text of [FOLLOWER, CRLF, FOLLOWER_JSON]) {
      expect(writeSheet(readDocument(text))).toBe(text);
      expect(done([], text)).toBe(text);
    }
  });

  it('change one line and keep its comment and alignment', () => {
    expect(changed([{ verb: 'lift', part: 'Q1' }])).toEqual({
      gone: ['  Q1: { npn: q-pool, collector: vcc, base: base, emitter: out }   # aligned by hand'],
      come: ['  Q1: { npn: q-pool, collector: vcc, base: base, emitter: out, lifted: true }   # aligned by hand'],
    });
    expect(changed([{ verb: 'short', part: 'C2' }])).toEqual({ gone: [], come: ['    shorted: true'] });
  });

  it('give back the bytes when a lifted or shorted part is restored', () => {
    for (const text of [FOLLOWER, CRLF, FOLLOWER_JSON]) {
      expect(
        done(
          [
            { verb: 'lift', part: 'R3' },
            { verb: 'restore', part: 'R3' },
          ],
          text,
        ),
      ).toBe(text);
    }
    expect(
      done([
        { verb: 'short', part: 'C2' },
        { verb: 'lift', part: 'C2' },
        { verb: 'restore', part: 'C2' },
      ]),
    ).toBe(FOLLOWER);
  });

  it('write a turned knob in the form of its author', () => {
    expect(changed([{ verb: 'set', path: 'parts.R4.resistor', value: 3300 }]).come).toEqual([
      '  R4: { resistor: 3.3 kohm, from: jack, to: gnd }',
    ]);
    expect(changed([{ verb: 'set', path: 'parts.C1.capacitor', value: 4.7e-6 }]).come).toEqual([
      '  C1: { capacitor: 4u7, from: in, to: base }',
    ]);
    expect(changed([{ verb: 'set', path: 'parts.C2.capacitor', value: 220e-6 }]).come).toEqual(['    capacitor: 220u']);
    expect(changed([{ verb: 'set', path: 'parts.R3.power', value: 0.5 }]).come).toEqual([
      '  R3: { resistor: 470, from: out, to: gnd, power: 1/2 W }',
    ]);
    expect(changed([{ verb: 'set', path: 'ambient', value: 303.15 }]).come).toEqual(['ambient: 30 °C']);
    expect(changed([{ verb: 'set', path: 'supplies.vcc', value: 12 }]).come).toEqual(['  vcc: 12 V']);
  });

  it('replace the amplitude that is given by another', () => {
    expect(changed([{ verb: 'set', path: 'drive.rms', value: '0.6 V' }])).toEqual({
      gone: ['  peakToPeak: 1.8 V'],
      come: ['  rms: 0.6 V'],
    });
  });

  it('take a bare temperature as degrees Celsius', () => {
    expect(changed([{ verb: 'set', path: 'ambient', value: '40' }]).come).toEqual(['ambient: 40 °C']);
  });

  it('open a supply given by its volts alone, for a further key', () => {
    const text = done([{ verb: 'set', path: 'supplies.vcc.resistance', value: '0.2' }]);
    expect(text).toContain('  vcc: { volts: 9 V, resistance: 0.2 }');
    expect(done([{ verb: 'set', path: 'supplies.vcc', value: '10 V' }], text)).toContain('  vcc: { volts: 10 V, resistance: 0.2 }');
  });

  it('may pass through a sheet that could not stand alone', () => {
    const quiet = FOLLOWER.replace('  waveform: sine\n  peakToPeak: 1.8 V\n', '  waveform: none\n');
    expect(
      done(
        [
          { verb: 'set', path: 'drive.waveform', value: 'sine' },
          { verb: 'set', path: 'drive.peak', value: '1 V' },
        ],
        quiet,
      ),
    ).toContain('peak: 1 V');
    expect(applyVerbs(readDocument(quiet), [{ verb: 'set', path: 'drive.waveform', value: 'sine' }]).problems[0].option).toBe(
      '--set drive.waveform=sine',
    );
  });

  it('tack a part across two nodes', () => {
    expect(changed([{ verb: 'tack', part: 'R9: { resistor: 1k, from: out, to: gnd }' }])).toEqual({
      gone: [],
      come: ['  R9: { resistor: 1k, from: out, to: gnd }'],
    });
    expect(partOf(done([{ verb: 'tack', part: 'R9: { resistor: 1k5, from: out, to: gnd }' }], FOLLOWER_JSON), 'R9')).toMatchObject({
      resistance: 1500,
    });
    expect(
      () =>
        JSON.parse(
          done(
            [
              { verb: 'tack', part: 'R9: { resistor: 1k5, from: out, to: gnd }' },
              { verb: 'lift', part: 'R9' },
            ],
            FOLLOWER_JSON,
          ),
        ) as unknown,
    ).not.toThrow();
  });

  it('insert a part in series with a terminal, the generator or the load', () => {
    const text = done([{ verb: 'insert', part: 'R9: { resistor: 100, at: Q1.base }' }]);
    expect(partOf(text, 'R9')).toMatchObject({ from: 'base', to: 'Q1-base' });
    expect(partOf(text, 'Q1')).toMatchObject({ base: 'Q1-base' });
    const diode = done([{ verb: 'insert', part: 'D9: { diode: d-clip, at: R3.from }' }]);
    expect(partOf(diode, 'D9')).toMatchObject({ anode: 'out', cathode: 'R3-from' });
    const driven = readSheet(done([{ verb: 'insert', part: 'R9: { resistor: 1k, at: drive.node }' }])).sheet;
    expect(driven?.drive?.node).toBe('drive-node');
    const loaded = readSheet(done([{ verb: 'insert', part: 'R9: { resistor: 47, at: output }' }])).sheet;
    expect(loaded?.parts.at(-1)).toMatchObject({ name: 'R9', from: 'jack', to: loaded?.output });
  });

  it('swap a value, a device or the whole part, whose connections stay', () => {
    expect(partOf(done([{ verb: 'swap', part: 'R3=330' }]), 'R3')).toMatchObject({ resistance: 330, power: 0.25 });
    expect(partOf(done([{ verb: 'swap', part: 'C2: { resistor: 10 }' }]), 'C2')).toMatchObject({
      kind: 'resistor',
      from: 'out',
      to: 'jack',
    });
    expect(partOf(done([{ verb: 'swap', part: 'R3: { diode: d-clip }' }]), 'R3')).toMatchObject({
      kind: 'diode',
      anode: 'out',
      cathode: 'gnd',
    });
    expect(partOf(done([{ verb: 'swap', part: 'R3: { current: 5 mA, to: jack }' }]), 'R3')).toMatchObject({ from: 'out', to: 'jack' });
  });

  it('connect another load', () => {
    expect(changed([{ verb: 'load', name: 'none' }])).toEqual({ gone: ['load: phones'], come: ['load: none'] });
  });

  it.each<[Verb, string, RegExp, number]>([
    [{ verb: 'set', path: 'drive.freqency', value: '1k' }, 'unknown-key', /freqency.*frequency/, 7],
    [{ verb: 'set', path: 'parts.R33.resistor', value: '1k' }, 'unknown-part', /R33.*R3/, 7],
    [{ verb: 'set', path: 'parts.R3.resister', value: '1k' }, 'unknown-path', /resister.*resistor/, 10],
    [{ verb: 'set', path: 'R3.resistor', value: '1k' }, 'unknown-path', /parts\.R3\.resistor/, 1],
    [{ verb: 'set', path: 'drive..x', value: '1k' }, 'unknown-path', /no path/, 1],
    [{ verb: 'set', path: 'parts.R3.resistor', value: '1 V' }, 'wrong-unit', /ohms/, 10],
    [{ verb: 'lift', part: 'Q2' }, 'unknown-part', /Q1/, 1],
    [{ verb: 'load', name: 'phone' }, 'unknown-load', /phones/, 1],
    [{ verb: 'tack', part: 'R1: { resistor: 1k, from: out, to: gnd }' }, 'duplicate-designator', /already/, 1],
    [{ verb: 'tack', part: 'R9: { resistor: 1k' }, 'not-a-part', /R9/, 1],
    [{ verb: 'insert', part: 'R9: { resistor: 1k, at: Q1.bse }' }, 'unknown-terminal', /base/, 25],
    [{ verb: 'insert', part: 'R9: { resistor: 1k }' }, 'unknown-terminal', /at:/, 1],
    [{ verb: 'swap', part: 'Q1=q-pol' }, 'unknown-device', /q-pool/, 1],
  ])('refuse %j at its place in the option', (verb, code, sentence, column) => {
    const { sheet, problems, document } = applyVerbs(readDocument(FOLLOWER), [verb]);
    expect(sheet).toBeNull();
    expect(writeSheet(document)).toBe(FOLLOWER);
    expect(problems[0]).toMatchObject({ code, severity: 'error', place: { line: 1, column } });
    expect(problems[0].sentence).toMatch(sentence);
    expect(problems[0].option).toContain(`--${verb.verb} `);
  });

  it('refuse to edit behind an alias', () => {
    const text = FOLLOWER.replace('R1: {', 'R1: &r {').replace('R4: { resistor: 4.7 kohm, from: jack, to: gnd }', 'R4: *r');
    expect(applyVerbs(readDocument(text), [{ verb: 'lift', part: 'R4' }]).problems[0].code).toBe('cannot-edit');
  });

  it('read the option of a setting', () => {
    expect(parseSet('drive.peakToPeak=3V')).toEqual({ verb: 'set', path: 'drive.peakToPeak', value: '3V' });
    expect(parseSet('drive.peakToPeak')).toMatchObject({ code: 'not-a-setting' });
  });

  it('set any number at any of some paths, and nothing else changes', () => {
    const paths = fc.constantFrom(
      'parts.R1.resistor',
      'parts.R4.resistor',
      'parts.C1.capacitor',
      'parts.C2.capacitor',
      'parts.R3.power',
      'drive.frequency',
      'drive.peakToPeak',
      'loads.phones.resistor',
      'supplies.vcc',
    );
    fc.assert(
      fc.property(paths, fc.double({ min: 1e-3, max: 1e6, noNaN: true }), fc.constantFrom(FOLLOWER, CRLF), (path, value, text) => {
        const { gone, come } = changed([{ verb: 'set', path, value }], text);
        expect(gone.length).toBe(come.length);
        expect(gone.length).toBeLessThanOrEqual(1);
        // Of the one line that changed, only the value did.
        expect(
          (come[0] ?? '')
            .replace(/: [^,}]*/, '')
            .trim()
            .slice(0, 2),
        ).toBe(
          (gone[0] ?? '')
            .replace(/: [^,}]*/, '')
            .trim()
            .slice(0, 2),
        );
      }),
      { seed: 5, numRuns: 150 },
    );
  });
});

describe('the history', () => {
  const verbs: Verb[] = [
    { verb: 'lift', part: 'R3' },
    { verb: 'set', path: 'drive.peakToPeak', value: '3 V' },
    { verb: 'tack', part: 'R9: { resistor: 1k, from: out, to: gnd }' },
    { verb: 'insert', part: 'R10: { resistor: 10, at: Q1.base }' },
    { verb: 'swap', part: 'R4=1k' },
    { verb: 'load', name: 'none' },
  ];

  it('names its steps for people', () => {
    expect(verbs.map(verbName)).toEqual([
      'lift R3',
      'set drive.peakToPeak to 3 V',
      'tack R9',
      'insert R10',
      'swap R4 for 1k',
      'connect the load none',
    ]);
  });

  it("undoes to the author's bytes and redoes, step by step", () => {
    let history = startHistory(readDocument(FOLLOWER));
    const texts = [FOLLOWER];
    for (const verb of verbs) {
      history = apply(history, [verb]).history;
      texts.push(writeSheet(history.present));
    }
    expect(new Set(texts).size).toBe(verbs.length + 1);
    for (const text of texts.slice(0, -1).reverse()) {
      history = undo(history);
      expect(writeSheet(history.present)).toBe(text);
    }
    expect(nextSteps(history)).toEqual({ undo: null, redo: 'lift R3' });
    expect(undo(history)).toBe(history);
    for (const text of texts.slice(1)) {
      history = redo(history);
      expect(writeSheet(history.present)).toBe(text);
    }
    expect(nextSteps(history)).toEqual({ undo: 'connect the load none', redo: null });
  });

  it('stays as it was when a verb is refused, and drops what was undone on a new step', () => {
    const start = startHistory(readDocument(FOLLOWER));
    expect(apply(start, [{ verb: 'lift', part: 'R77' }]).history).toBe(start);
    const undone = undo(apply(start, [verbs[0]]).history);
    expect(applyText(undone, `${FOLLOWER}# more\n`).future).toEqual([]);
    expect(applyText(undone, FOLLOWER)).toBe(undone);
  });
});
