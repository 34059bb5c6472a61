/** Rules of maps: known keys with values, and tables from the author's names to values. */
import { isMap, isScalar, type Pair, type YAMLMap } from 'yaml';
import { commaRemedy, type Unit } from '../quantity/index.ts';
import { join, keyText, offsetOf } from './document.ts';
import { isName, isNodeName, suggestion } from './nearest.ts';
import { type JsonSchema, type Log, own, type Read, type Rule, type Spot, spoken, spotOf, writtenText } from './rule.ts';

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
