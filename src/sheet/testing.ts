/** Sheets for the tests of this folder: a stage of the listening post, and ways to spoil it. */
import fc from 'fast-check';

export const FOLLOWER = `footroom: 1
title: Pool-side follower # the one by the ladder
ambient: 18 °C
supplies:
  vcc: 9 V
devices:
  q-pool: { npn: { saturationCurrent: 2e-14, forwardBeta: 190, reverseBeta: 3 } }
  d-clip: { diode: { saturationCurrent: 4e-9, ideality: 1.9 } }
parts:
  # the divider
  R1: { resistor: 27k, from: vcc, to: base, tolerance: 5 % }
  R2: { resistor: 39k, from: base, to: gnd }
  C1: { capacitor: 2u2, from: in, to: base }
  Q1: { npn: q-pool, collector: vcc, base: base, emitter: out }   # aligned by hand
  R3: { resistor: 470, from: out, to: gnd, power: 1/4 W }
  C2:
    capacitor: 100u
    from: out
    to: jack   # towards the phones
    polarized: true
    rating: 16 V
  R4: { resistor: 4.7 kohm, from: jack, to: gnd }
drive:
  node: in
  sourceResistance: 600
  waveform: sine
  peakToPeak: 1.8 V
  frequency: 440 Hz
output: jack
loads:
  none: open
  phones: { resistor: 32, sensitivity: 102 dB }
load: phones
targets: { distortion: 1 % }
`;

/** The same stage with one line replaced. */
export function followerWith(line: string, by: string): string {
  if (!FOLLOWER.includes(line)) throw new Error(`the sheet has no "${line}"`);
  return FOLLOWER.replace(line, by);
}

export const FOLLOWER_JSON = `{
  "footroom": 1,
  "supplies": { "vcc": "9 V" },
  "devices": { "q-pool": { "npn": { "saturationCurrent": 2e-14, "forwardBeta": 190, "reverseBeta": 3 } } },
  "parts": {
    "R1": { "resistor": "27k", "from": "vcc", "to": "base" },
    "R2": { "resistor": 39000, "from": "base", "to": "gnd" },
    "Q1": { "npn": "q-pool", "collector": "vcc", "base": "base", "emitter": "out" },
    "R3": { "resistor": 470, "from": "out", "to": "gnd" }
  },
  "output": "out"
}
`;

/** Text that has been damaged: bytes changed, cut off, doubled, lines moved, strange characters put in. */
export function damaged(text: string): fc.Arbitrary<string> {
  const piece = fc.oneof(
    fc.string({ unit: 'binary', maxLength: 6 }),
    fc.constantFrom(
      '{',
      '}',
      '[',
      ']',
      ':',
      ' : ',
      ',',
      '"',
      "'",
      '|',
      '>',
      '&a ',
      '*a',
      '!!map ',
      '- ',
      '? ',
      '\t',
      '\r',
      '\u0000',
      '\ufeff',
      '\u2028',
      '9'.repeat(400),
      '1e999',
      '-1',
      '0',
      '__proto__',
      'constructor',
      '<<: *a',
      '#',
      '---\n',
      '...\n',
      '\n\n',
      '  ',
    ),
  );
  const at = fc.nat(text.length);
  const one = fc.oneof(
    fc.record({ kind: fc.constant('insert' as const), at, piece }),
    fc.record({ kind: fc.constant('cut' as const), at, length: fc.nat(30) }),
    fc.record({ kind: fc.constant('end' as const), at }),
    fc.record({ kind: fc.constant('double' as const), at, length: fc.nat(200) }),
  );
  return fc.array(one, { minLength: 1, maxLength: 6 }).map((changes) => {
    let result = text;
    for (const change of changes) {
      const where = Math.min(change.at, result.length);
      if (change.kind === 'insert') result = result.slice(0, where) + change.piece + result.slice(where);
      else if (change.kind === 'cut') result = result.slice(0, where) + result.slice(where + change.length);
      else if (change.kind === 'end') result = result.slice(0, where);
      else result = result.slice(0, where + change.length) + result.slice(where);
    }
    return result;
  });
}
