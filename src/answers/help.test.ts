import { describe, expect, it } from 'vitest';
import { readSheet, withValue } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { ask } from './ask.ts';
import type { AskOptions, Help, SwingAnswer, SwingLimit, WaveformAnswer } from './types.ts';

function sheetOf(text: string): Sheet {
  const { sheet, problems } = readSheet(text);
  if (sheet === null) throw new Error(problems.map((p) => p.sentence).join(' '));
  return sheet;
}

/** A follower that the load asks for more than its resistor carries, at a base held by a divider. */
const FOLLOWER = `
footroom: 1
title: Listening post, follower for the ear piece
supplies: { vcc: 12 V }
parts:
  R1: { resistor: 39k, from: vcc, to: base }
  R2: { resistor: 56k, from: base, to: gnd }
  C1: { capacitor: 1u, from: in, to: base }
  Q1: { npn: small-signal, collector: vcc, base: base, emitter: out }
  R3: { resistor: 820, from: out, to: gnd }
  C2: { capacitor: 470u, from: out, to: jack }
  R4: { resistor: 4k7, from: jack, to: gnd }
drive: { node: in, sourceResistance: 600, waveform: sine, peakToPeak: 1.6 V, frequency: 600 Hz }
output: jack
loads:
  piece: { resistor: 47 }
load: piece
`;

/** The same stage with a current sink in the resistor's place, on two supplies. */
const SINK = `
footroom: 1
title: Listening post, follower on a sink
supplies: { vpos: 9 V, vneg: -9 V }
parts:
  R1: { resistor: 10k, from: in, to: gnd }
  Q1: { npn: small-signal, collector: vpos, base: in, emitter: out }
  Q2: { npn: small-signal, collector: out, base: ref, emitter: e2 }
  R2: { resistor: 3k9, from: gnd, to: ref }
  D1: { diode: led, anode: ref, cathode: vneg }
  R3: { resistor: 220, from: e2, to: vneg }
drive: { node: in, sourceResistance: 330, waveform: sine, peakToPeak: 5 V, frequency: 1 kHz }
output: out
loads:
  desk: { resistor: 270 }
load: desk
`;

/** Two diodes spread the bases of a pair; R1 and R2 feed the string. */
const STRING = `
footroom: 1
title: Listening post, pair on a string of diodes
supplies: { vpos: 6 V, vneg: -6 V }
parts:
  C1: { capacitor: 47u, from: in, to: mid }
  R1: { resistor: 1k8, from: vpos, to: top }
  D1: { diode: rectifier, anode: top, cathode: mid }
  D2: { diode: rectifier, anode: mid, cathode: bottom }
  R2: { resistor: 1k8, from: bottom, to: vneg }
  Q1: { npn: medium-power, collector: vpos, base: top, emitter: e1 }
  RE1: { resistor: 1R5, from: e1, to: out }
  RE2: { resistor: 1R5, from: out, to: e2 }
  Q2: { pnp: medium-power, collector: vneg, base: bottom, emitter: e2 }
drive: { node: in, sourceResistance: 75, waveform: sine, peakToPeak: 5 V, frequency: 440 Hz }
output: out
loads:
  dummy: { resistor: 16 }
load: dummy
targets: { outputPeakToPeak: 6 V }
`;

function swing(sheet: Sheet, options: AskOptions = {}): SwingAnswer {
  const answer = ask('swing', sheet, options);
  if ('failure' in answer || answer.question !== 'swing') throw new Error('swing has an answer here');
  return answer;
}

function limitOf(answer: SwingAnswer, side: 'high' | 'low'): SwingLimit {
  const limit = answer[side];
  if (limit === null) throw new Error(`there is a ${side} limit`);
  return limit;
}

function helpOf(limit: { help?: Help | null }): Help {
  if (!limit.help) throw new Error('there is help');
  return limit.help;
}

const changed = (sheet: Sheet, help: Help): Sheet => help.verbs.reduce((s, { path, value }) => withValue(s, path, value), sheet);
const figureOf = (limit: SwingLimit, help: Help): number | undefined => (help.figure === 'flat' ? limit.flat?.volts : limit.volts);
const partsOf = (help: Help): string[] => help.verbs.map(({ path }) => path.split('.')[1]);

describe('what would help', () => {
  it.each([
    ['a follower whose resistor carries too little', FOLLOWER, 'low'],
    ['a follower on a sink that carries too little', SINK, 'low'],
    ['a pair whose string of diodes runs out', STRING, 'high'],
    ['a pair whose string of diodes runs out the other way', STRING, 'low'],
  ] as const)('is told for %s by the figure that a fresh question gives, exactly', (_, text, side) => {
    const sheet = sheetOf(text);
    const limit = limitOf(swing(sheet), side);
    const help = helpOf(limit);
    expect(help.before).toBe(figureOf(limit, help));
    expect(help.after).toBe(figureOf(limitOf(swing(changed(sheet, help)), side), help));
    expect(Math.abs(help.after)).toBeGreaterThan(Math.abs(help.before));
  });

  it('lowers the resistor, and stiffens the divider by the same factor, to preferred values', () => {
    const help = helpOf(limitOf(swing(sheetOf(FOLLOWER)), 'low'));
    const [taker, upper, lower] = help.verbs;
    expect(partsOf(help)).toEqual(['R3', 'R1', 'R2']);
    expect([taker.divider, upper.divider, lower.divider]).toEqual([undefined, true, true]);
    // E24 values lie within 5 % of any value (IEC 60063, rounded to the nearest by ratio).
    expect(Math.abs(upper.value / 39e3 / (taker.value / 820) - 1)).toBeLessThan(0.06);
    expect(Math.abs(lower.value / 56e3 / (taker.value / 820) - 1)).toBeLessThan(0.06);
  });

  it('is enough for what the drive asks, and a smaller change where the drive asks for less', () => {
    const sheet = sheetOf(FOLLOWER);
    const help = helpOf(limitOf(swing(sheet), 'low'));
    expect(help.enough).toBe(true);
    const lesser = helpOf(limitOf(swing(withValue(sheet, 'drive.peakToPeak', 1.2)), 'low'));
    expect(lesser.verbs[0].value).toBeGreaterThan(help.verbs[0].value);
  });

  it('lowers the emitter resistor of a sink, and both ends of a string', () => {
    expect(partsOf(helpOf(limitOf(swing(sheetOf(SINK)), 'low')))).toEqual(['R3']);
    const help = helpOf(limitOf(swing(sheetOf(STRING)), 'high'));
    expect(new Set(partsOf(help))).toEqual(new Set(['R1', 'R2']));
    expect(help.verbs[0].value).toBe(help.verbs[1].value);
  });

  it('names the next whole volt of the supply that would do, where the target asks for more than the supply lets through', () => {
    const sheet = withValue(sheetOf(FOLLOWER.replace('resistor: 47 ', 'resistor: 47k ')), 'targets.outputPeakToPeak', 13);
    const limit = limitOf(swing(sheet), 'high');
    expect(limit.cause.event).toBe('saturates');
    const help = helpOf(limit);
    expect(partsOf(help)).toEqual(['vcc']);
    expect(Number.isInteger(help.verbs[0].value)).toBe(true);
    const room = (volts: number): number => limitOf(swing(withValue(sheet, 'supplies.vcc.volts', volts)), 'high').flat?.room ?? 0;
    expect(room(help.verbs[0].value)).toBeGreaterThanOrEqual(6.5);
    expect(room(help.verbs[0].value - 1)).toBeLessThan(6.5);
    expect(help.after).toBe(figureOf(limitOf(swing(changed(sheet, help)), 'high'), help));
  });

  it('stays within the ratings that held before: an eighth of a watt bounds how far the resistor comes down', () => {
    const free = sheetOf(FOLLOWER.replace('peakToPeak: 1.6 V', 'peakToPeak: 3 V'));
    const rated = sheetOf(FOLLOWER.replace('peakToPeak: 1.6 V', 'peakToPeak: 3 V').replace('820,', '820, power: 0.125 W,'));
    const power = (help: Help): number => {
      const rest = ask('quiescent', changed(free, help));
      if ('failure' in rest || rest.question !== 'quiescent') throw new Error('there is a resting point');
      return rest.parts.R3.dissipation;
    };
    const bold = helpOf(limitOf(swing(free), 'low'));
    const careful = helpOf(limitOf(swing(rated), 'low'));
    expect(power(bold)).toBeGreaterThan(0.125);
    expect(power(careful)).toBeLessThanOrEqual(0.125);
    expect(careful.enough).toBe(false);
  });

  it('is null where nothing more is asked for, and not sought where it is not wanted', () => {
    const answer = swing(withValue(sheetOf(FOLLOWER), 'drive.peakToPeak', 0.05));
    expect([answer.low?.help, answer.high?.help]).toEqual([null, null]);
    expect(limitOf(swing(sheetOf(FOLLOWER), { help: false }), 'low')).not.toHaveProperty('help');
  });

  it('of a waveform has the static figure that swing tells', () => {
    const sheet = sheetOf(FOLLOWER);
    const answer = ask('waveform', sheet) as WaveformAnswer;
    const help = helpOf(answer);
    expect(help).toEqual(helpOf(limitOf(swing(sheet), 'low')));
    expect(ask('waveform', sheet, { help: false })).not.toHaveProperty('help');
  });
});

describe('a demand at a limit beyond the drive', () => {
  // By hand: R1 feeds the base of Q1 through the string, so it is R1 that runs out (Kirchhoff's current law at `top`).
  it('is asked by the part that takes the current, and carried by the one that feeds it', () => {
    const { demand } = limitOf(swing(withValue(sheetOf(STRING), 'drive.peakToPeak', 1), { help: false }), 'high').cause;
    expect(demand?.by).toBe('Q1');
    expect(demand?.part).toBe('R1');
  });
});
