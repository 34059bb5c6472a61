/** Rules of single values: quantities, words, names, flags, text. */
import { isScalar } from 'yaml';
import { parseQuantity, UNITS, type Unit } from '../quantity/index.ts';
import { isName, isNodeName, suggestion } from './nearest.ts';
import { type Rule, spoken, writtenText } from './rule.ts';

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
