/** Reading one part: its kind, its value, its connections, all problems at once. */
import { isMap, isScalar } from 'yaml';
import { builtinDevice, builtinNames } from '../devices/builtin.ts';
import type { Device } from '../devices/parameters.ts';
import { join, keyText, resolved, type SheetDocument, topLevel } from './document.ts';
import { mapSchema, readMap } from './map-rules.ts';
import { nearestName, suggestion } from './nearest.ts';
import { CONNECTION_KEYS, PART_KINDS, PART_RULES, partKeys } from './part-rules.ts';
import { type JsonSchema, type Log, own, type Rule, type Spot, spoken } from './rule.ts';
import type { Loudspeaker, Part, PartKind } from './types.ts';

type Values = Readonly<Record<string, unknown>>;

/** A part whose keys are read, before its device is looked up. */
export interface RawPart {
  kind: PartKind;
  values: Values;
  /** Offset of the kind key's value, for messages about the device. */
  valueOffset: number;
}

/** The rule of one part. */
export const rawPart: Rule<RawPart> = {
  schema: { anyOf: PART_KINDS.map(partSchema) },
  read: (spot, log) => {
    if (!isMap(spot.node)) {
      return log.report(
        spot.offset,
        spot.path,
        'not-a-map',
        `${spoken(spot.path)}: a part is written { resistor: 4k7, from: out, to: gnd }.`,
      );
    }
    const written = spot.node.items.map(keyText);
    const kinds = PART_KINDS.filter((kind) => written.includes(kind));
    const [kind] = kinds;
    if (kind === undefined) return unknownKind(spot, written, log);
    if (kinds.length > 1) {
      return log.report(
        spot.offset,
        spot.path,
        'two-kinds',
        `${spoken(spot.path)} is given as ${kinds.join(' and as ')}; keep one of these keys.`,
      );
    }
    const values = readMap(spot, log, partKeys(kind), []);
    const missing = missingConnections(spot, kind, written, log);
    if (values === undefined || missing) return undefined;
    const pair = spot.node.items.find((candidate) => keyText(candidate) === kind);
    const value = pair?.value;
    const part = { kind, values, valueOffset: isScalar(value) ? (value.range?.[0] ?? spot.offset) : spot.offset };
    return sound(part, spot, log) ? part : undefined;
  },
};

function partSchema(kind: PartKind): JsonSchema {
  const keys = partKeys(kind);
  const required = [kind, ...PART_RULES[kind].connections];
  const pick = (wanted: boolean): Record<string, Rule<unknown>> =>
    Object.fromEntries(Object.entries(keys).filter(([key]) => required.includes(key) === wanted));
  return mapSchema(pick(true), pick(false));
}

/** No kind key: one may be misspelt. The keys that no kind has are the ones to blame. */
function unknownKind(spot: Spot, written: readonly string[], log: Log): undefined {
  const elsewhere = new Set(PART_KINDS.flatMap((kind) => Object.keys(partKeys(kind))));
  const strange = written.filter((key) => !elsewhere.has(key));
  const where = spoken(spot.path);
  const [first] = strange;
  if (first === undefined) {
    return log.report(spot.offset, spot.path, 'no-kind', `${where} does not say what it is; add one of the keys ${PART_KINDS.join(', ')}.`);
  }
  const offset = isMap(spot.node) ? offsetOfKey(spot, first) : spot.offset;
  const near = nearestName(first, PART_KINDS);
  const remedy = near === null ? `a part is one of ${PART_KINDS.join(', ')}` : `the nearest known one is "${near}"`;
  return log.report(offset, join(spot.path, first), 'unknown-key', `${where}: there is no kind of part "${first}"; ${remedy}.`);
}

function offsetOfKey(spot: Spot, key: string): number {
  if (!isMap(spot.node)) return spot.offset;
  const pair = spot.node.items.find((candidate) => keyText(candidate) === key);
  return isScalar(pair?.key) ? (pair.key.range?.[0] ?? spot.offset) : spot.offset;
}

function missingConnections(spot: Spot, kind: PartKind, written: readonly string[], log: Log): boolean {
  const { connections, noun } = PART_RULES[kind];
  const missing = connections.filter((key) => !written.includes(key));
  for (const key of missing) {
    log.report(
      spot.offset,
      join(spot.path, key),
      'missing-connection',
      `${spoken(spot.path)} is not connected at \`${key}\`; ${noun} needs ${connections.map((name) => `\`${name}\``).join(', ')}, each with the name of a node.`,
    );
  }
  return missing.length > 0;
}

/** What needs two keys at once, and parts with all ends on one node. */
function sound({ kind, values }: RawPart, spot: Spot, log: Log): boolean {
  const where = spoken(spot.path);
  if (kind === 'capacitor' && number(values, 'leakage', 0) > 0 && values.rating === undefined) {
    log.report(
      spot.offset,
      join(spot.path, 'rating'),
      'missing-key',
      `${where}: \`leakage\` is the current at the \`rating\`, which is not given; add the rating in volts.`,
    );
    return false;
  }
  const nodes = new Set(PART_RULES[kind].connections.map((key) => values[key]));
  if (nodes.size === 1) {
    log.report(
      spot.offset,
      spot.path,
      'one-node',
      `${where} has all its ends on the node ${String([...nodes][0])}, so it does nothing; connect one of them to another node.`,
    );
    return false;
  }
  return true;
}

function number(values: Values, key: string, absent: number): number {
  const value = values[key];
  return typeof value === 'number' ? value : absent;
}

function word(values: Values, key: string): string {
  const value = values[key];
  return typeof value === 'string' ? value : '';
}

/** The optional keys that are given, as numbers. */
function given<K extends string>(values: Values, ...keys: K[]): { [key in K]?: number } {
  const found: { [key in K]?: number } = {};
  for (const key of keys) {
    const value = values[key];
    if (typeof value === 'number') found[key] = value;
  }
  return found;
}

/** Put a read part into the sheet's form, its device found. Null where a device is needed and missing. */
export function finishPart(name: string, { kind, values }: RawPart, device: Device | null): Part | null {
  const bench = { ...(values.lifted === true ? { lifted: true } : {}), ...(values.shorted === true ? { shorted: true } : {}) };
  const ends = { from: word(values, 'from'), to: word(values, 'to') };
  const common = { name, ...bench };
  const semiconductor = { area: number(values, 'area', 1), ...(typeof values.heatSink === 'string' ? { heatSink: values.heatSink } : {}) };
  switch (kind) {
    case 'resistor':
      return { ...common, kind, resistance: number(values, kind, 0), ...ends, ...given(values, 'tolerance', 'power') };
    case 'trimmer':
      return {
        ...common,
        kind,
        resistance: number(values, kind, 0),
        ...ends,
        wiper: word(values, 'wiper'),
        position: number(values, 'position', 0.5),
        ...given(values, 'power'),
      };
    case 'capacitor':
      return {
        ...common,
        kind,
        capacitance: number(values, kind, 0),
        ...ends,
        polarized: values.polarized === true,
        seriesResistance: number(values, 'seriesResistance', 0),
        leakage: number(values, 'leakage', 0),
        ...given(values, 'tolerance', 'rating'),
      };
    case 'inductor':
      return {
        ...common,
        kind,
        inductance: number(values, kind, 0),
        ...ends,
        seriesResistance: number(values, 'seriesResistance', 0),
        ...given(values, 'rating'),
      };
    case 'voltage':
      return { ...common, kind, volts: number(values, kind, 0), ...ends, resistance: number(values, 'resistance', 0) };
    case 'current':
      return { ...common, kind, amperes: number(values, kind, 0), ...ends };
    case 'speaker':
      return { ...common, kind, speaker: values.speaker as Loudspeaker, ...ends };
    case 'npn':
    case 'pnp':
      if (device === null || device.kind === 'diode') return null;
      return {
        ...common,
        kind,
        device: word(values, kind),
        parameters: device.parameters,
        collector: word(values, 'collector'),
        base: word(values, 'base'),
        emitter: word(values, 'emitter'),
        ...semiconductor,
      };
    case 'diode':
      if (device === null || device.kind !== 'diode') return null;
      return {
        ...common,
        kind,
        device: word(values, kind),
        parameters: device.parameters,
        anode: word(values, 'anode'),
        cathode: word(values, 'cathode'),
        ...semiconductor,
      };
  }
}

/** Nodes that the parts mention, also those of parts that are otherwise wrong: for "unknown node" messages. */
export function mentionedNodes(document: SheetDocument): Set<string> {
  const nodes = new Set<string>();
  const parts = topLevel(document, 'parts');
  if (!isMap(parts)) return nodes;
  for (const pair of parts.items) {
    const part = resolved(document, pair.value);
    if (!isMap(part)) continue;
    for (const inner of part.items) {
      const value = resolved(document, inner.value);
      if (!(CONNECTION_KEYS as readonly string[]).includes(keyText(inner)) || !isScalar(value)) continue;
      nodes.add(typeof value.value === 'string' ? value.value : (value.source ?? ''));
    }
  }
  return nodes;
}

/** Look a device up by name and kind; reports an unknown one or one of the wrong kind. */
export function findDevice(
  { kind, values, valueOffset }: RawPart,
  spot: Spot,
  defined: ReadonlyMap<string, Device>,
  unreadable: ReadonlySet<string>,
  log: Log,
): Device | null {
  if (kind !== 'npn' && kind !== 'pnp' && kind !== 'diode') return null;
  const wanted = word(values, kind);
  const path = join(spot.path, kind);
  if (unreadable.has(wanted)) return null; // its definition has its own report
  const device = defined.get(wanted) ?? builtinDevice(wanted, kind);
  if (device !== null && device.kind === kind) return device;
  const other =
    device ?? (['npn', 'pnp', 'diode'] as const).map((each) => builtinDevice(wanted, each)).find((each) => each !== null) ?? null;
  if (other !== null) {
    log.report(
      valueOffset,
      path,
      'wrong-device-kind',
      `${spoken(spot.path)} is ${PART_RULES[kind].noun}, but "${wanted}" is ${PART_RULES[other.kind].noun}; write \`${other.kind}: ${wanted}\` or name another device.`,
    );
    return null;
  }
  log.report(
    valueOffset,
    path,
    'unknown-device',
    `${spoken(spot.path)}: there is no device "${wanted}"; ${suggestion(wanted, [...defined.keys(), ...builtinNames(kind)])}.`,
  );
  return null;
}

/** The kind that the keys of a part say, for edits by path. */
export function kindAmong(keys: readonly string[]): PartKind | undefined {
  return PART_KINDS.find((kind) => keys.includes(kind));
}

/** Rules of a part's keys by kind, or undefined for a key that the kind does not have. */
export function partKeyRule(kind: PartKind, key: string): Rule<unknown> | undefined {
  return own(partKeys(kind), key);
}
