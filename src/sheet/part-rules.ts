/** What may stand under `parts`: for each kind its value, its connections, and its further keys. */
import { map } from './map-rules.ts';
import type { Rule } from './rule.ts';
import { choice, flag, name, nodeName, quantity } from './scalar-rules.ts';
import type { Loudspeaker, PartKind } from './types.ts';

const positive = { above: 0 };
const notNegative = { atLeast: 0 };

const speakerKeys = map(
  { resistance: quantity('Ω', positive) },
  {
    inductance: quantity('H', notNegative),
    resonance: quantity('Hz', positive),
    mechanicalQ: quantity('number', positive),
    electricalQ: quantity('number', positive),
    sensitivity: quantity('dB'),
  },
);

/** The value of `speaker`: the three figures of the resonance are given together or not at all. */
export const loudspeaker: Rule<Loudspeaker> = {
  ...speakerKeys,
  schema: {
    ...speakerKeys.schema,
    dependentRequired: {
      resonance: ['mechanicalQ', 'electricalQ'],
      mechanicalQ: ['resonance', 'electricalQ'],
      electricalQ: ['resonance', 'mechanicalQ'],
    },
  },
  read: (spot, log) => {
    const read = speakerKeys.read(spot, log);
    if (read === undefined) return undefined;
    const given = [read.resonance, read.mechanicalQ, read.electricalQ].filter((value) => value !== undefined).length;
    if (given > 0 && given < 3) {
      return log.report(
        spot.offset,
        spot.path,
        'missing-key',
        'A loudspeaker takes `resonance`, `mechanicalQ` and `electricalQ` together; add what is missing, or leave all three out.',
      );
    }
    return { inductance: 0, ...read };
  },
};

export interface PartRules {
  /** What the part is called in a sentence. */
  noun: string;
  /** Rule of the value under the kind key. */
  value: Rule<unknown>;
  connections: readonly string[];
  further: Readonly<Record<string, Rule<unknown>>>;
}

/** Keys that every part may have: bench verbs, recorded in the sheet (an extension of format 1). */
const bench = { lifted: flag, shorted: flag };
const tolerance = quantity('share');
const power = quantity('W', positive);
const transistor: Omit<PartRules, 'noun'> = {
  value: name,
  connections: ['collector', 'base', 'emitter'],
  further: { area: quantity('number', positive), heatSink: name, ...bench },
};

export const PART_RULES: Readonly<Record<PartKind, PartRules>> = {
  resistor: { noun: 'a resistor', value: quantity('Ω', positive), connections: ['from', 'to'], further: { tolerance, power, ...bench } },
  trimmer: {
    noun: 'a trimmer',
    value: quantity('Ω', positive),
    connections: ['from', 'to', 'wiper'],
    further: { position: quantity('share'), power, ...bench },
  },
  capacitor: {
    noun: 'a capacitor',
    value: quantity('F', positive),
    connections: ['from', 'to'],
    further: {
      tolerance,
      polarized: flag,
      rating: quantity('V', positive),
      seriesResistance: quantity('Ω', notNegative),
      leakage: quantity('A', notNegative),
      ...bench,
    },
  },
  inductor: {
    noun: 'an inductor',
    value: quantity('H', positive),
    connections: ['from', 'to'],
    further: { seriesResistance: quantity('Ω', notNegative), rating: quantity('A', positive), ...bench },
  },
  npn: { noun: 'an NPN transistor', ...transistor },
  pnp: { noun: 'a PNP transistor', ...transistor },
  diode: {
    noun: 'a diode',
    value: name,
    connections: ['anode', 'cathode'],
    further: { area: quantity('number', positive), heatSink: name, ...bench },
  },
  voltage: {
    noun: 'a voltage source',
    value: quantity('V'),
    connections: ['from', 'to'],
    further: { resistance: quantity('Ω', notNegative), ...bench },
  },
  current: { noun: 'a current source', value: quantity('A'), connections: ['from', 'to'], further: { ...bench } },
  speaker: { noun: 'a loudspeaker', value: loudspeaker, connections: ['from', 'to'], further: { ...bench } },
};

export const PART_KINDS = Object.keys(PART_RULES) as PartKind[];
export const CONNECTION_KEYS = ['from', 'to', 'wiper', 'collector', 'base', 'emitter', 'anode', 'cathode'] as const;

/** All keys of a part of a kind with their rules. */
export function partKeys(kind: PartKind): Readonly<Record<string, Rule<unknown>>> {
  const { value, connections, further } = PART_RULES[kind];
  return { [kind]: value, ...Object.fromEntries(connections.map((key) => [key, nodeName])), ...further };
}

export const amplitudeForms = ['peakToPeak', 'peak', 'rms'] as const;
export const waveformNames = choice(['sine', 'triangle', 'square', 'none']);
