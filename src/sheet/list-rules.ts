/** Rules of lists and ranges, of values that may be a map, and of values that another module reads. */
import { isMap, isScalar, isSeq } from 'yaml';
import { join, keyText, resolved } from './document.ts';
import { type Rule, spoken, spotOf } from './rule.ts';

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
