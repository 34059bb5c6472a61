/**
 * Rules: what may stand at a place of a sheet. A rule reads a YAML node into a typed value, reporting everything
 * that is wrong with place and remedy, and gives its JSON Schema, so that reader and published schema cannot part.
 */
import { isMap, isScalar, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import { commaRemedy, parseQuantity, UNITS, type Unit } from '../quantity/index.ts';
import { join, keyText, offsetOf, placeIn, placeOf, resolved, type SheetDocument } from './document.ts';
import { isName, isNodeName, suggestion } from './nearest.ts';
import type { Problem } from './types.ts';

export type JsonSchema = { readonly [key: string]: unknown };

/** Where a rule reads: the node (null where nothing is written), its dotted path, and an offset for messages. */
export interface Spot {
  node: Node | null;
  path: string;
  offset: number;
}

export interface Rule<T> {
  read(spot: Spot, log: Log): T | undefined;
  readonly schema: JsonSchema;
  /** Of quantities: the unit. */
  readonly unit?: Unit;
  /** Of maps: the rules of their keys. */
  readonly keys?: Readonly<Record<string, Rule<unknown>>>;
}

/** What a rule reads, as a type. */
export type Read<R> = R extends Rule<infer T> ? T : never;

/** More than anybody reads; a bound on the work that a hostile sheet can make. */
const MOST_PROBLEMS = 500;

/** Collects problems while a document is read. */
export class Log {
  readonly problems: Problem[] = [];

  constructor(readonly document: SheetDocument) {}

  /** Report a problem at an offset of the text; returns undefined, the value of what could not be read. */
  report(offset: number, path: string, code: string, sentence: string, severity: Problem['severity'] = 'error'): undefined {
    this.add({ severity, code, path, place: placeIn(this.document.lines, offset), sentence });
    return undefined;
  }

  /** Report a problem at a dotted path. */
  reportAt(path: string, code: string, sentence: string, severity: Problem['severity'] = 'error'): undefined {
    if (this.problems.length > MOST_PROBLEMS) return undefined;
    this.add({ severity, code, path, place: placeOf(this.document, path), sentence });
    return undefined;
  }

  private add(problem: Problem): void {
    if (this.problems.length < MOST_PROBLEMS) this.problems.push(problem);
    else if (this.problems.length === MOST_PROBLEMS) {
      this.problems.push({
        severity: 'error',
        code: 'too-many-problems',
        path: '',
        place: problem.place,
        sentence: `There are more than ${MOST_PROBLEMS} problems; mend these first, the others are not listed.`,
      });
    }
  }
}

/** `parts.R4.resistor` in a sentence: "R4, resistor". */
export function spoken(path: string): string {
  const steps = path.split('.');
  const collections = ['parts', 'supplies', 'devices', 'loads', 'heatSinks'];
  if (steps.length > 1 && collections.includes(steps[0] ?? '')) steps.shift();
  return steps.length > 2 ? `${steps.slice(0, -1).join(' ')}, ${steps.at(-1)}` : steps.join(', ');
}

/** Text of a single value as written: node names and words are taken so, quoted or not. */
function writtenText(node: Node | null): string | null {
  if (!isScalar(node)) return null;
  if (typeof node.value === 'string') return node.value;
  return node.source !== undefined && node.source !== '' ? node.source : null;
}

export interface Range {
  above?: number;
  atLeast?: number;
  atMost?: number;
}

/** A quantity of a unit, within a range (SI). */
export function quantity(unit: Unit, range: Range = {}): Rule<number> {
  const { takes, example } = UNITS[unit];
  const limits = unit === 'share' ? { atLeast: 0, atMost: 1, ...range } : range;
  return {
    unit,
    schema: { type: ['number', 'string'], description: `A quantity; takes ${takes}, for example ${example}.` },
    read: ({ node, path, offset }, log) => {
      const value = isScalar(node) ? node.value : undefined;
      if (typeof value !== 'number' && typeof value !== 'string') {
        const shown = isScalar(node) && node.source ? `"${node.source}"` : node === null || isScalar(node) ? 'nothing' : 'a list or map';
        return log.report(
          offset,
          path,
          'not-a-quantity',
          `${spoken(path)}: ${shown} stands here, but this takes ${takes}; write a value such as ${example}.`,
        );
      }
      const parsed = parseQuantity(value, unit);
      if (!parsed.ok) return log.report(offset, path, parsed.fault, `${spoken(path)}: ${parsed.cause}; ${parsed.remedy}.`);
      const fault = outside(parsed.value, limits, unit);
      if (fault !== null) return log.report(offset, path, 'out-of-range', `${spoken(path)}: ${value} is out of range; ${fault}.`);
      return parsed.value;
    },
  };
}

function outside(value: number, range: Range, unit: Unit): string | null {
  const shown = (limit: number): string =>
    unit === 'temperature'
      ? `${limit - 273.15} °C`
      : unit === 'share'
        ? `${limit * 100} %`
        : `${limit}${limit === 0 ? '' : ` ${UNITS[unit].symbol}`}`.trimEnd();
  if (range.above !== undefined && !(value > range.above)) return `it must be above ${range.above === 0 ? 'zero' : shown(range.above)}`;
  if (range.atLeast !== undefined && !(value >= range.atLeast))
    return `it must be at least ${range.atLeast === 0 ? 'zero' : shown(range.atLeast)}`;
  if (range.atMost !== undefined && !(value <= range.atMost)) return `it must be at most ${shown(range.atMost)}`;
  return null;
}

/** Text, taken as written. */
export function text(what: string): Rule<string> {
  return {
    schema: { type: ['string', 'number', 'boolean', 'null'], description: what },
    read: ({ node, path, offset }, log) => {
      const written = writtenText(node);
      if (written !== null || (isScalar(node) && node.value === null)) return written ?? '';
      return log.report(offset, path, 'not-text', `${spoken(path)}: a list or map stands here, but this takes text.`);
    },
  };
}

/** `true` or `false`. */
export const flag: Rule<boolean> = {
  schema: { type: 'boolean' },
  read: ({ node, path, offset }, log) => {
    if (isScalar(node) && typeof node.value === 'boolean') return node.value;
    return log.report(offset, path, 'not-a-flag', `${spoken(path)}: write true or false.`);
  },
};

/** One of some words. */
export function choice<const W extends string>(words: readonly W[]): Rule<W> {
  return {
    schema: { enum: words },
    read: ({ node, path, offset }, log) => {
      const written = writtenText(node);
      const hit = words.find((word) => word === written);
      if (hit !== undefined) return hit;
      const shown = written === null ? 'nothing that is a word' : `"${written}"`;
      const near = written === null ? '' : ` (${suggestion(written, words)})`;
      return log.report(offset, path, 'unknown-word', `${spoken(path)}: ${shown} stands here; write one of ${words.join(', ')}${near}.`);
    },
  };
}

/** The name of a node. */
export const nodeName: Rule<string> = {
  schema: {
    type: ['string', 'number', 'boolean', 'null'],
    description: 'Name of a node: letters, digits, _, + and -, with at least one letter; gnd is ground.',
  },
  read: ({ node, path, offset }, log) => {
    const written = writtenText(node);
    if (written !== null && isNodeName(written)) return written;
    const shown = written === null ? 'no name' : `"${written}"`;
    return log.report(
      offset,
      path,
      'not-a-node-name',
      `${spoken(path)}: ${shown} stands here; a node's name has letters, digits, _, + and -, with at least one letter.`,
    );
  },
};

/** The name of a device, load or heat sink, checked against the known ones elsewhere. */
export const name: Rule<string> = {
  schema: { type: ['string', 'number'], description: 'A name: letters, digits, _, + and -.' },
  read: ({ node, path, offset }, log) => {
    const written = writtenText(node);
    if (written !== null && isName(written)) return written;
    return log.report(
      offset,
      path,
      'not-a-name',
      `${spoken(path)}: ${written === null ? 'no name' : `"${written}"`} stands here; a name has letters, digits, _, + and -.`,
    );
  },
};

/** A list of values of one rule. */
export function list<T>(item: Rule<T>, length: { atLeast?: number; exactly?: number } = {}): Rule<T[]> {
  const { atLeast = 0, exactly } = length;
  return {
    schema: { type: 'array', items: item.schema, minItems: exactly ?? atLeast, ...(exactly === undefined ? {} : { maxItems: exactly }) },
    read: ({ node, path, offset }, log) => {
      if (!isSeq(node)) return log.report(offset, path, 'not-a-list', `${spoken(path)}: this takes a list in [ ].`);
      if (node.items.length < (exactly ?? atLeast) || (exactly !== undefined && node.items.length > exactly)) {
        return log.report(
          offset,
          path,
          'wrong-length',
          `${spoken(path)}: the list has ${node.items.length} entries, but takes ${exactly ?? `at least ${atLeast}`}.`,
        );
      }
      const values = node.items.map((entry, index) => item.read(spotOf(entry, join(path, String(index)), offset, log), log));
      return values.every((value) => value !== undefined) ? (values as T[]) : undefined;
    },
  };
}

/** Two values, the lower first. */
export function range(item: Rule<number>): Rule<[number, number]> {
  const both = list(item, { exactly: 2 });
  return {
    ...(item.unit === undefined ? {} : { unit: item.unit }),
    schema: both.schema,
    read: (spot, log) => {
      const read = both.read(spot, log) as [number, number] | undefined;
      if (read !== undefined && read[0] > read[1])
        return log.report(
          spot.offset,
          spot.path,
          'out-of-range',
          `${spoken(spot.path)}: the range runs backwards; write the lower value first.`,
        );
      return read;
    },
  };
}

/** Either of two rules: `first` for a single value, `second` for a map. */
export function valueOrMap<A, B>(single: Rule<A>, map: Rule<B>): Rule<A | B> {
  return {
    ...(single.unit === undefined ? {} : { unit: single.unit }),
    ...(map.keys === undefined ? {} : { keys: map.keys }),
    schema: { anyOf: [single.schema, map.schema] },
    read: (spot, log) => (isMap(spot.node) ? map.read(spot, log) : single.read(spot, log)),
  };
}

export function spotOf(node: unknown, path: string, fallback: number, log: Log): Spot {
  const target = resolved(log.document, node);
  const empty = target === null || (isScalar(target) && target.source === '' && target.value === null);
  return { node: target, path, offset: empty ? fallback : offsetOf(node) };
}

/** One key of a map with the node under it, decimal commas already recognised. */
export interface Entry {
  key: string;
  keyOffset: number;
  spot: Spot;
}

/**
 * The entries of a map. In `{ resistor: 4,7k, from: out }` the comma parts the map, so that `7k` looks like a key
 * without a value: that is reported as the decimal comma that it is, and neither half is read.
 * `unitOf` tells which unit a key takes, for the remedy.
 */
export function entriesOf(
  map: YAMLMap,
  path: string,
  log: Log,
  unitOf: (key: string) => Unit | undefined,
): { entries: Entry[]; commas: string[] } {
  const entries: Entry[] = [];
  const commas: string[] = [];
  for (const pair of map.items) {
    const key = keyText(pair);
    const keyOffset = offsetOf(pair.key);
    const before = entries.at(-1);
    if (before !== undefined && map.flow === true && reportedComma(pair, key, before, log, unitOf(before.key))) {
      commas.push(before.key);
      entries.pop();
      continue;
    }
    entries.push({ key, keyOffset, spot: spotOf(pair.value, join(path, key), keyOffset, log) });
  }
  return { entries, commas };
}

function reportedComma(pair: Pair<unknown, unknown>, key: string, before: Entry, log: Log, unit: Unit | undefined): boolean {
  const tail = /^(\d+)(\s*)(\D*)$/u.exec(key);
  const whole = writtenText(before.spot.node);
  const valueless = pair.value === null || (isScalar(pair.value) && pair.value.value === null && (pair.value.source ?? '') === '');
  if (tail === null || whole === null || !/^[+-]?\d+$/.test(whole) || !valueless) return false;
  const [, decimals, space, rest] = tail as unknown as [string, string, string, string];
  const remedy = commaRemedy(whole, decimals, space, rest, unit ?? 'number');
  log.report(
    before.spot.offset,
    before.spot.path,
    'decimal-comma',
    `${spoken(before.spot.path)}: ${whole},${key} has a decimal comma; ${remedy}.`,
  );
  return true;
}

type Rules = Readonly<Record<string, Rule<unknown>>>;
type Required_<R extends Rules> = { [K in keyof R]: Read<R[K]> };
type Optional_<R extends Rules> = { [K in keyof R]?: Read<R[K]> };

/** A map with required and optional keys. Unknown keys are refused with the nearest known one. */
export function map<R extends Rules, O extends Rules>(required: R, optional: O): Rule<Required_<R> & Optional_<O>> {
  const keys: Rules = { ...required, ...optional };
  return {
    keys,
    schema: mapSchema(required, optional),
    read: (spot, log) => {
      const read = readMap(spot, log, keys, Object.keys(required));
      return read as (Required_<R> & Optional_<O>) | undefined;
    },
  };
}

export function mapSchema(required: Rules, optional: Rules): JsonSchema {
  const properties = Object.fromEntries(Object.entries({ ...required, ...optional }).map(([key, rule]) => [key, rule.schema]));
  return { type: 'object', properties, required: Object.keys(required), additionalProperties: false };
}

/** Read the keys of a map by their rules; undefined if anything in it is wrong. */
export function readMap(spot: Spot, log: Log, keys: Rules, required: readonly string[]): Record<string, unknown> | undefined {
  if (!isMap(spot.node)) {
    return log.report(
      spot.offset,
      spot.path,
      'not-a-map',
      `${spoken(spot.path) || 'The sheet'}: this takes keys with values (${Object.keys(keys).slice(0, 6).join(', ')}).`,
    );
  }
  const { entries, commas } = entriesOf(spot.node, spot.path, log, (key) => own(keys, key)?.unit);
  let sound = commas.length === 0;
  const values: Record<string, unknown> = {};
  for (const { key, keyOffset, spot: inner } of entries) {
    const rule = own(keys, key);
    if (rule === undefined) {
      sound = false;
      log.report(
        keyOffset,
        inner.path,
        'unknown-key',
        `${spot.path === '' ? '' : `${spoken(spot.path)}: `}there is no key "${key}" here; ${suggestion(key, Object.keys(keys))}.`,
      );
      continue;
    }
    const value = rule.read(inner, log);
    if (value === undefined) sound = false;
    values[key] = value;
  }
  const written = new Set([...entries.map((entry) => entry.key), ...commas]);
  for (const key of required) {
    if (written.has(key)) continue;
    sound = false;
    log.report(
      spot.offset,
      join(spot.path, key),
      'missing-key',
      `${spot.path === '' ? 'The sheet' : spoken(spot.path)} has no \`${key}\`; add it.`,
    );
  }
  return sound ? values : undefined;
}

/** A value of a record's own, never one that every object inherits. */
export function own<T>(record: Readonly<Record<string, T>>, key: string): T | undefined {
  return Object.hasOwn(record, key) ? record[key] : undefined;
}

export interface Named<T> {
  name: string;
  value: T;
  /** Offset of the name in the text. */
  offset: number;
}

/** A map from names of the author's to values of one rule. What cannot be read is left out, after its report. */
export function dictionary<T>(item: Rule<T>, of: 'node' | 'name' | 'path'): Rule<Named<T>[]> {
  return {
    schema: { type: 'object', additionalProperties: item.schema },
    read: ({ node, path, offset }, log) => {
      if (!isMap(node)) return log.report(offset, path, 'not-a-map', `${spoken(path)}: this takes names with values.`);
      const found: Named<T>[] = [];
      let sound = true;
      for (const entry of entriesOf(node, path, log, () => item.unit).entries) {
        const legal = of === 'path' || (of === 'node' ? isNodeName(entry.key) : isName(entry.key));
        if (!legal)
          log.report(
            entry.keyOffset,
            entry.spot.path,
            'not-a-name',
            `${spoken(path)}: "${entry.key}" is not a name; a name has letters, digits, _, + and -${of === 'node' ? ', with at least one letter' : ''}.`,
          );
        const value = item.read(entry.spot, log);
        if (value === undefined || !legal) sound = false;
        else found.push({ name: entry.key, value, offset: entry.keyOffset });
      }
      return sound || found.length > 0 ? found : undefined;
    },
  };
}

const MOST_VALUES = 20_000;
const DEEPEST_VALUE = 60;

/** Anything: kept as plain values, for parts of the sheet that another module reads (lessons, triggers). */
export const anything: Rule<unknown> = {
  schema: {},
  read: ({ node, path, offset }, log) => {
    let left = MOST_VALUES;
    const plain = (inner: unknown, depth: number): unknown => {
      left -= 1;
      if (depth > DEEPEST_VALUE) left = -1; // an alias may stand inside its own anchor
      if (left < 0) return null;
      const target = resolved(log.document, inner);
      if (isScalar(target)) return target.value;
      if (isSeq(target)) return target.items.map((item) => plain(item, depth + 1));
      if (isMap(target)) return Object.fromEntries(target.items.map((pair) => [keyText(pair), plain(pair.value, depth + 1)]));
      return null;
    };
    const value = plain(node, 0);
    if (left < 0)
      return log.report(
        offset,
        path,
        'too-long',
        `${spoken(path)} holds too many values or refers to itself; keep it in a file of its own.`,
      );
    return value;
  },
};
