import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { CAUSE_TABLE } from '../../tests/causes/table.ts';
import { randomFrom } from '../../tests/stages/random.ts';
import { readSheet } from '../sheet/index.ts';
import type { Part, Sheet } from '../sheet/types.ts';
import { type Role, rolesOf } from './roles.ts';

/** The same stage upside down: every device of the other kind, every voltage and current of the other sign. */
function mirrorPolarity(sheet: Sheet): Sheet {
  const turned = (part: Part): Part => {
    switch (part.kind) {
      case 'npn':
        return { ...part, kind: 'pnp' };
      case 'pnp':
        return { ...part, kind: 'npn' };
      case 'diode':
        return { ...part, anode: part.cathode, cathode: part.anode };
      case 'voltage':
        return { ...part, volts: -part.volts };
      case 'current':
      case 'capacitor':
        return { ...part, from: part.to, to: part.from };
      default:
        return part;
    }
  };
  return {
    ...sheet,
    supplies: sheet.supplies.map((supply) => ({ ...supply, volts: -supply.volts })),
    parts: sheet.parts.map(turned),
    ...(sheet.drive ? { drive: { ...sheet.drive, offset: -sheet.drive.offset } } : {}),
  };
}

/** Every node under another name, and the parts in another order. */
function shuffle(sheet: Sheet, seed: number): Sheet {
  const random = randomFrom(0x5411, seed);
  const names = new Map<string, string>([['gnd', 'gnd']]);
  const renamed = (node: string): string => {
    const known = names.get(node);
    if (known !== undefined) return known;
    const fresh = `x${random.integer(1000, 9999)}y${names.size}`;
    names.set(node, fresh);
    return fresh;
  };
  const keys = ['from', 'to', 'wiper', 'anode', 'cathode', 'collector', 'base', 'emitter'];
  const moved = (part: Part): Part =>
    Object.assign(
      {},
      part,
      Object.fromEntries(
        Object.entries(part)
          .filter(([key]) => keys.includes(key))
          .map(([key, node]) => [key, renamed(String(node))]),
      ),
    );
  const parts = sheet.parts.map(moved);
  for (let k = parts.length - 1; k > 0; k--) {
    const j = random.integer(0, k);
    [parts[k], parts[j]] = [parts[j], parts[k]];
  }
  return {
    ...sheet,
    parts,
    supplies: sheet.supplies.map((supply) => ({ ...supply, node: renamed(supply.node) })),
    loads: sheet.loads.map((load) => ({ ...load, to: renamed(load.to) })),
    ...(sheet.output === undefined ? {} : { output: renamed(sheet.output) }),
    ...(sheet.drive ? { drive: { ...sheet.drive, node: renamed(sheet.drive.node) } } : {}),
  };
}

/** A role without regard to the order in which parts are listed. */
const plain = (roles: Record<string, Role>): unknown =>
  Object.fromEntries(
    Object.entries(roles).map(([name, role]) => [
      name,
      Object.fromEntries(
        Object.entries(role)
          .filter(([, value]) => value !== undefined)
          .map(([key, value]) => [key, Array.isArray(value) ? [...value].sort() : value]),
      ),
    ]),
  );
const opposite: Record<string, string> = { 'current source': 'current sink', 'current sink': 'current source' };
const turnedOver = (roles: Record<string, Role>): Record<string, Role> =>
  Object.fromEntries(
    Object.entries(roles).map(([name, role]) => [
      name,
      { ...role, name: (opposite[role.name] ?? role.name) as Role['name'], polarity: role.polarity === 'npn' ? 'pnp' : 'npn' },
    ]),
  );

// The reference cases lie beside the repository where they are at hand.
const cases = new URL('../../../shared/cases/', import.meta.url);
const examples = new URL('../../examples/', import.meta.url);

/** By hand, from the drawings. */
const EXPECTED: Record<string, Record<string, string>> = {
  'below-the-corner': { Q1: 'follower' },
  'class-ab-multiplier': { Q1: 'half of a complementary pair', Q2: 'half of a complementary pair', Q3: 'V_BE multiplier' },
  'coupling-in-parallel': { Q1: 'follower' },
  'dead-zone': { Q1: 'half of a complementary pair', Q2: 'half of a complementary pair' },
  'full-model-band': { Q1: 'common emitter' },
  'gain-then-follower': { Q1: 'common emitter', Q2: 'follower' },
  'gain-without-degeneration': { Q1: 'common emitter' },
  'headphone-follower': { Q1: 'follower' },
  'hydrophone-buffer': { Q1: 'Darlington member', Q2: 'Darlington member' },
  'loop-of-capacitors': { Q1: 'common emitter' },
  'measured-at-the-node': { Q1: 'follower' },
  'mirror-pnp': { Q1: 'mirror', Q2: 'mirror' },
  'near-ground': { Q1: 'follower' },
  'rectifier-reservoir': {},
  'rings-by-itself': { Q1: 'common base' },
  'sink-loaded-follower': { Q1: 'follower', Q2: 'current sink' },
  'small-loudspeaker': { Q1: 'half of a complementary pair', Q2: 'half of a complementary pair', Q3: 'V_BE multiplier' },
  'split-follower-starved': { Q1: 'follower' },
  'tide-pair': { Q1: 'half of a differential pair', Q2: 'half of a differential pair' },
  'top-saturation': { Q1: 'follower' },
  'warm-pair': { Q1: 'half of a complementary pair', Q2: 'half of a complementary pair' },
};

/** By hand, for stages of the cause table; the others there repeat these. */
const IN_TABLE: Record<string, Record<string, string>> = {
  'PNP headphone follower': { Q1: 'follower' },
  'follower on a transistor sink, heavy load': { Q1: 'follower', Q2: 'current sink' },
  'follower on a mirror, light load': { Q1: 'follower', Q2: 'mirror', Q3: 'mirror' },
  'follower that meets its collector resistor': { Q1: 'follower' },
  'bootstrapped follower': { Q1: 'follower' },
  'gain stage with its whole emitter resistor': { Q1: 'common emitter' },
  'PNP gain stage with its emitter bypassed': { Q1: 'common emitter' },
  'gain stage and follower, heavy load': { Q1: 'common emitter', Q2: 'follower' },
  'PNP long-tailed pair': { Q1: 'half of a differential pair', Q2: 'half of a differential pair' },
  'long-tailed pair with emitter resistors': { Q1: 'half of a differential pair', Q2: 'half of a differential pair' },
  'common base': { Q1: 'common base' },
  'switch that is off at rest': { Q1: 'switch' },
  'driver whose collector resistor starves the upper half': {
    Q1: 'half of a complementary pair',
    Q2: 'half of a complementary pair',
    Q3: 'common emitter',
  },
  'driver with a bootstrap': { Q1: 'half of a complementary pair', Q2: 'half of a complementary pair', Q3: 'common emitter' },
  'Darlington without an inner resistor': { Q1: 'Darlington member', Q2: 'Darlington member' },
  'Darlington with an inner resistor': { Q1: 'Darlington member', Q2: 'Darlington member' },
  'complementary Darlington': { Q1: 'complementary Darlington member', Q2: 'complementary Darlington member' },
  'two followers side by side': { Q1: 'follower', Q2: 'follower' },
  'emitter junction that breaks down': { Q1: 'follower', Q2: 'diode-connected' },
  'cable capacitance that holds the peak': { Q1: 'follower' },
  'follower behind a stage that has clipped': { Q1: 'common emitter', Q2: 'follower' },
};

function sheetOf(text: string): Sheet {
  const { sheet } = readSheet(text);
  if (!sheet) throw new Error('The sheet cannot be read.');
  return sheet;
}
const names = (roles: Record<string, Role>) => Object.fromEntries(Object.entries(roles).map(([part, role]) => [part, role.name]));

function staysWhenTurned(sheet: Sheet): void {
  const roles = rolesOf(sheet);
  expect(plain(rolesOf(shuffle(sheet, 1)))).toEqual(plain(roles));
  expect(plain(rolesOf(shuffle(sheet, 2)))).toEqual(plain(roles));
  expect(plain(rolesOf(mirrorPolarity(sheet)))).toEqual(plain(turnedOver(roles)));
}

describe('roles of the cause table', () => {
  it.each(Object.entries(IN_TABLE))('%s: every transistor has the role that an engineer gives it', (name, expected) => {
    const row = CAUSE_TABLE.find((candidate) => candidate.name === name);
    expect(names(rolesOf(sheetOf(row?.sheet ?? '')))).toEqual(expected);
  });
  it.each(CAUSE_TABLE.map((row) => [row.name, row.sheet] as const))(
    '%s: roles do not hang on node names, the order of parts or polarity',
    (_, text) => {
      staysWhenTurned(sheetOf(text));
    },
  );
});

describe.skipIf(!existsSync(cases))('roles of the reference cases', () => {
  const files = existsSync(cases) ? readdirSync(cases).filter((file) => file.endsWith('.sheet.yaml')) : [];
  it.each(files)('%s: every transistor has the role that an engineer gives it', (file) => {
    const sheet = sheetOf(readFileSync(new URL(file, cases), 'utf8'));
    expect(names(rolesOf(sheet))).toEqual(EXPECTED[file.replace('.sheet.yaml', '')]);
    staysWhenTurned(sheet);
  });
});

describe.skipIf(!existsSync(examples))('roles of the examples', () => {
  const files = existsSync(examples) ? readdirSync(examples).filter((file) => file.endsWith('.sheet.yaml')) : [];
  it.each(files)('%s: no role is unclear, and none hangs on names, order or polarity', (file) => {
    const sheet = sheetOf(readFileSync(new URL(file, examples), 'utf8'));
    expect(Object.entries(names(rolesOf(sheet))).filter(([, name]) => name === 'not clear')).toEqual([]);
    staysWhenTurned(sheet);
  });
});

describe('roles in small', () => {
  const small = (parts: string, rest = 'drive: { node: in, waveform: none, frequency: 1 kHz }\noutput: out\n') =>
    names(rolesOf(sheetOf(`footroom: 1\nsupplies: { vcc: 12 V }\nparts:\n${parts}${rest}`)));
  it('gives a cascode a common emitter below and a common base above', () => {
    expect(
      small(`  Q1: { npn: small-signal, collector: mid, base: in, emitter: em }
  RE: { resistor: 470, from: em, to: gnd }
  Q2: { npn: small-signal, collector: out, base: held, emitter: mid }
  R1: { resistor: 33k, from: vcc, to: held }
  R2: { resistor: 15k, from: held, to: gnd }
  RC: { resistor: 2k2, from: vcc, to: out }
`),
    ).toEqual({ Q1: 'common emitter', Q2: 'common base' });
  });
  it('keeps two followers in a row apart from a Darlington', () => {
    expect(
      small(`  Q1: { npn: small-signal, collector: vcc, base: in, emitter: mid }
  R1: { resistor: 10k, from: mid, to: gnd }
  Q2: { npn: small-signal, collector: vcc, base: mid, emitter: out }
  R2: { resistor: 1k, from: out, to: gnd }
`),
    ).toEqual({ Q1: 'follower', Q2: 'follower' });
  });
  it('calls a PNP that feeds a collector from the positive rail a current source', () => {
    expect(
      small(`  Q1: { npn: small-signal, collector: out, base: in, emitter: gnd }
  R0: { resistor: 100k, from: vcc, to: in }
  Q2: { pnp: small-signal, collector: out, base: held, emitter: top }
  RT: { resistor: 220, from: vcc, to: top }
  R1: { resistor: 1k, from: vcc, to: held }
  R2: { resistor: 10k, from: held, to: gnd }
`),
    ).toEqual({ Q1: 'common emitter', Q2: 'current source' });
  });
  it('says not clear where base, collector and emitter all lie on signal ground', () => {
    expect(
      small(`  Q1: { npn: small-signal, collector: vcc, base: held, emitter: low }
  R1: { resistor: 10k, from: vcc, to: held }
  C1: { capacitor: 100u, from: held, to: gnd }
  R2: { resistor: 1k, from: low, to: gnd }
  C2: { capacitor: 100u, from: low, to: gnd }
  R3: { resistor: 1k, from: in, to: out }
`),
    ).toEqual({ Q1: 'not clear' });
  });
  it('sees two common emitters in a pair that latches', () => {
    expect(
      small(
        `  Q1: { npn: small-signal, collector: x, base: y, emitter: gnd }
  Q2: { pnp: small-signal, collector: y, base: x, emitter: vcc }
  R1: { resistor: 10k, from: vcc, to: x }
  R2: { resistor: 10k, from: y, to: gnd }
`,
        '',
      ),
    ).toEqual({ Q1: 'common emitter', Q2: 'common emitter' });
  });
});
