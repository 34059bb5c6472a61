/**
 * Blank outlines: the stages of the trade with their values left open, in drawing order. A value that is still open
 * stands at the outline's own usual one, and the page says so, until the reader has given it.
 */

export interface OutlineField {
  /** The place in the sheet: `R1`, `vcc`. */
  name: string;
  /** What it is for, in a word or two. */
  words: string;
  usual: string;
}

export interface Outline {
  name: string;
  fields: readonly OutlineField[];
  /** The sheet's text with `{R1}` where a value goes. */
  text: string;
}

/** With so many values given, the page begins to answer. */
export const ANSWERS_AFTER = 3;

const field = (name: string, words: string, usual: string): OutlineField => ({ name, words, usual });

const DRIVE = [
  field('drive', 'generator, peak to peak', '1 V'),
  field('frequency', 'its frequency', '440 Hz'),
  field('source', 'its resistance', '600'),
];
const driven = (at: string): string =>
  `drive: { node: ${at}, sourceResistance: {source}, waveform: sine, peakToPeak: {drive}, frequency: {frequency} }`;
const LOAD = field('load', 'load', '10k');

function outline(
  name: string,
  supplies: string,
  parts: string[],
  fields: OutlineField[],
  output: string,
  title = `Untitled ${name}`,
): Outline {
  const text = [
    'footroom: 1',
    `title: ${title}`,
    `supplies: { ${supplies} }`,
    'parts:',
    ...parts.map((part) => `  ${part}`),
    driven('in'),
    `output: ${output}`,
    'loads:',
    '  load: { resistor: {load} }',
    '  none: open',
    'load: load',
    '',
  ].join('\n');
  return { name, fields, text };
}

export const OUTLINES: readonly Outline[] = [
  outline(
    'follower',
    'vcc: {vcc}',
    [
      'R1: { resistor: {R1}, from: vcc, to: base }',
      'R2: { resistor: {R2}, from: base, to: gnd }',
      'C1: { capacitor: {C1}, from: in, to: base }',
      'Q1: { npn: {Q1}, collector: vcc, base: base, emitter: out }',
      'R3: { resistor: {R3}, from: out, to: gnd }',
      'C2: { capacitor: {C2}, from: out, to: jack, polarized: true }',
      'R4: { resistor: {R4}, from: jack, to: gnd }',
    ],
    [
      field('vcc', 'supply', '12 V'),
      field('R1', 'divider, upper', '39k'),
      field('R2', 'divider, lower', '56k'),
      field('C1', 'coupling in', '1u'),
      field('Q1', 'transistor', 'small-signal'),
      field('R3', 'emitter', '1k'),
      field('C2', 'coupling out', '100u'),
      field('R4', 'bleed', '10k'),
      LOAD,
      ...DRIVE,
    ],
    'jack',
  ),
  outline(
    'common emitter',
    'vcc: {vcc}',
    [
      'R1: { resistor: {R1}, from: vcc, to: base }',
      'R2: { resistor: {R2}, from: base, to: gnd }',
      'C1: { capacitor: {C1}, from: in, to: base }',
      'R3: { resistor: {R3}, from: vcc, to: collector }',
      'Q1: { npn: {Q1}, collector: collector, base: base, emitter: emitter }',
      'R4: { resistor: {R4}, from: emitter, to: gnd }',
      'C2: { capacitor: {C2}, from: collector, to: jack }',
      'R5: { resistor: {R5}, from: jack, to: gnd }',
    ],
    [
      field('vcc', 'supply', '12 V'),
      field('R1', 'divider, upper', '68k'),
      field('R2', 'divider, lower', '12k'),
      field('C1', 'coupling in', '1u'),
      field('R3', 'collector', '4k7'),
      field('Q1', 'transistor', 'small-signal'),
      field('R4', 'emitter', '1k'),
      field('C2', 'coupling out', '4u7'),
      field('R5', 'bleed', '100k'),
      LOAD,
      ...DRIVE,
    ],
    'jack',
  ),
  outline(
    'complementary pair',
    'vpos: {vpos}, vneg: {vneg}',
    [
      'R1: { resistor: {R1}, from: vpos, to: base }',
      'R2: { resistor: {R2}, from: base, to: vneg }',
      'C1: { capacitor: {C1}, from: in, to: base }',
      'Q1: { npn: {Q1}, collector: vpos, base: base, emitter: out }',
      'Q2: { pnp: {Q2}, collector: vneg, base: base, emitter: out }',
      'R3: { resistor: {R3}, from: out, to: gnd }',
    ],
    [
      field('vpos', 'upper supply', '9 V'),
      field('vneg', 'lower supply', '-9 V'),
      field('R1', 'bias, upper', '47k'),
      field('R2', 'bias, lower', '47k'),
      field('C1', 'coupling in', '1u'),
      field('Q1', 'upper transistor', 'medium-power'),
      field('Q2', 'lower transistor', 'medium-power'),
      field('R3', 'bleed', '10k'),
      LOAD,
      ...DRIVE,
    ],
    'out',
  ),
  outline(
    'pair with a multiplier',
    'vpos: {vpos}, vneg: {vneg}',
    [
      'R1: { resistor: {R1}, from: vpos, to: top }',
      'R2: { resistor: {R2}, from: top, to: tap }',
      'R3: { resistor: {R3}, from: tap, to: bot }',
      'Q3: { npn: {Q3}, collector: top, base: tap, emitter: bot }',
      'R4: { resistor: {R4}, from: bot, to: vneg }',
      'C1: { capacitor: {C1}, from: in, to: top }',
      'C2: { capacitor: {C2}, from: top, to: bot }',
      'Q1: { npn: {Q1}, collector: vpos, base: top, emitter: e1 }',
      'R5: { resistor: {R5}, from: e1, to: out }',
      'R6: { resistor: {R6}, from: out, to: e2 }',
      'Q2: { pnp: {Q2}, collector: vneg, base: bot, emitter: e2 }',
    ],
    [
      field('vpos', 'upper supply', '9 V'),
      field('vneg', 'lower supply', '-9 V'),
      field('R1', 'feed, upper', '2k2'),
      field('R2', 'multiplier, upper', '1k'),
      field('R3', 'multiplier, lower', '1k'),
      field('Q3', 'multiplier', 'small-signal'),
      field('R4', 'feed, lower', '2k2'),
      field('C1', 'coupling in', '10u'),
      field('C2', 'across the multiplier', '10u'),
      field('Q1', 'upper transistor', 'medium-power'),
      field('R5', 'upper emitter', '2R2'),
      field('R6', 'lower emitter', '2R2'),
      field('Q2', 'lower transistor', 'medium-power'),
      LOAD,
      ...DRIVE,
    ],
    'out',
  ),
  outline(
    'long-tailed pair',
    'vpos: {vpos}, vneg: {vneg}',
    [
      'R1: { resistor: {R1}, from: in, to: gnd }',
      'R2: { resistor: {R2}, from: vpos, to: out }',
      'Q1: { npn: {Q1}, collector: vpos, base: in, emitter: tail }',
      'Q2: { npn: {Q2}, collector: out, base: other, emitter: tail }',
      'R3: { resistor: {R3}, from: other, to: gnd }',
      'R4: { resistor: {R4}, from: tail, to: vneg }',
    ],
    [
      field('vpos', 'upper supply', '12 V'),
      field('vneg', 'lower supply', '-12 V'),
      field('R1', 'input', '47k'),
      field('R2', 'collector', '10k'),
      field('Q1', 'driven transistor', 'small-signal'),
      field('Q2', 'other transistor', 'small-signal'),
      field('R3', 'other base', '1k'),
      field('R4', 'tail', '10k'),
      LOAD,
      ...DRIVE,
    ],
    'out',
  ),
  outline(
    'Darlington follower',
    'vcc: {vcc}',
    [
      'R1: { resistor: {R1}, from: vcc, to: base }',
      'R2: { resistor: {R2}, from: base, to: gnd }',
      'C1: { capacitor: {C1}, from: in, to: base }',
      'Q1: { npn: {Q1}, collector: vcc, base: base, emitter: middle }',
      'Q2: { npn: {Q2}, collector: vcc, base: middle, emitter: out }',
      'R3: { resistor: {R3}, from: out, to: gnd }',
      'C2: { capacitor: {C2}, from: out, to: jack, polarized: true }',
      'R4: { resistor: {R4}, from: jack, to: gnd }',
    ],
    [
      field('vcc', 'supply', '12 V'),
      field('R1', 'divider, upper', '220k'),
      field('R2', 'divider, lower', '330k'),
      field('C1', 'coupling in', '220n'),
      field('Q1', 'first transistor', 'small-signal'),
      field('Q2', 'second transistor', 'medium-power'),
      field('R3', 'emitter', '220'),
      field('C2', 'coupling out', '470u'),
      field('R4', 'bleed', '4k7'),
      LOAD,
      ...DRIVE,
    ],
    'jack',
  ),
  outline(
    'follower on a sink',
    'vcc: {vcc}',
    [
      'R1: { resistor: {R1}, from: vcc, to: base }',
      'R2: { resistor: {R2}, from: base, to: gnd }',
      'C1: { capacitor: {C1}, from: in, to: base }',
      'Q1: { npn: {Q1}, collector: vcc, base: base, emitter: out }',
      'R3: { resistor: {R3}, from: vcc, to: ref }',
      'D1: { diode: {D1}, anode: ref, cathode: mid }',
      'D2: { diode: {D1}, anode: mid, cathode: gnd }',
      'Q2: { npn: {Q2}, collector: out, base: ref, emitter: e2 }',
      'R4: { resistor: {R4}, from: e2, to: gnd }',
      'C2: { capacitor: {C2}, from: out, to: jack, polarized: true }',
      'R5: { resistor: {R5}, from: jack, to: gnd }',
    ],
    [
      field('vcc', 'supply', '12 V'),
      field('R1', 'divider, upper', '39k'),
      field('R2', 'divider, lower', '56k'),
      field('C1', 'coupling in', '1u'),
      field('Q1', 'follower', 'small-signal'),
      field('R3', 'reference', '4k7'),
      field('D1', 'reference diodes', 'signal'),
      field('Q2', 'sink', 'small-signal'),
      field('R4', 'sink, emitter', '33'),
      field('C2', 'coupling out', '220u'),
      field('R5', 'bleed', '4k7'),
      LOAD,
      ...DRIVE,
    ],
    'jack',
  ),
  outline(
    'common emitter with follower',
    'vcc: {vcc}',
    [
      'R1: { resistor: {R1}, from: vcc, to: base }',
      'R2: { resistor: {R2}, from: base, to: gnd }',
      'C1: { capacitor: {C1}, from: in, to: base }',
      'R3: { resistor: {R3}, from: vcc, to: collector }',
      'Q1: { npn: {Q1}, collector: collector, base: base, emitter: emitter }',
      'R4: { resistor: {R4}, from: emitter, to: gnd }',
      'Q2: { npn: {Q2}, collector: vcc, base: collector, emitter: out }',
      'R5: { resistor: {R5}, from: out, to: gnd }',
      'C2: { capacitor: {C2}, from: out, to: jack, polarized: true }',
      'R6: { resistor: {R6}, from: jack, to: gnd }',
    ],
    [
      field('vcc', 'supply', '12 V'),
      field('R1', 'divider, upper', '68k'),
      field('R2', 'divider, lower', '12k'),
      field('C1', 'coupling in', '1u'),
      field('R3', 'collector', '4k7'),
      field('Q1', 'gain transistor', 'small-signal'),
      field('R4', 'emitter', '1k'),
      field('Q2', 'follower', 'small-signal'),
      field('R5', 'follower, emitter', '1k'),
      field('C2', 'coupling out', '100u'),
      field('R6', 'bleed', '10k'),
      LOAD,
      ...DRIVE,
    ],
    'jack',
  ),
];

/** The sheet's text with the values given so far; what is open stands at its usual value. */
export function filled(given: Outline, values: Readonly<Record<string, string>>): string {
  return given.text.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const known = given.fields.find((candidate) => candidate.name === name);
    if (known === undefined) return whole;
    const typed = values[name]?.trim() ?? '';
    return typed === '' ? known.usual : quoted(typed);
  });
}

/** A value as YAML takes it, whatever was typed: only plain characters stand bare. */
function quoted(text: string): string {
  return /^[\p{L}\p{N}.+µμΩ°% -]+$/u.test(text) && !/^-\s/.test(text) ? text : JSON.stringify(text);
}
