import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { SHEET_KEYS } from './contract.ts';
import { readSheet, sheetJsonSchema } from './index.ts';
import { FOLLOWER, FOLLOWER_JSON, followerWith } from './testing.ts';

type Schema = Readonly<Record<string, unknown>>;

/** The parts of JSON Schema 2020-12 that the published schema uses; unknown keywords fail, so that none goes unchecked. */
const KEYWORDS = [
  '$schema',
  'title',
  'description',
  'type',
  'properties',
  'required',
  'additionalProperties',
  'items',
  'minItems',
  'maxItems',
  'enum',
  'anyOf',
  'dependentRequired',
];

function typeOf(value: unknown): string {
  if (value === null) return 'null';
  return Array.isArray(value) ? 'array' : typeof value;
}

function fits(schema: Schema, value: unknown): boolean {
  const unknown = Object.keys(schema).filter((key) => !KEYWORDS.includes(key));
  if (unknown.length > 0) throw new Error(`unknown keyword ${unknown.join(', ')}`);
  const types = schema.type === undefined ? null : [schema.type].flat();
  if (types !== null && !types.includes(typeOf(value))) return false;
  if (Array.isArray(schema.enum) && !schema.enum.includes(value)) return false;
  if (Array.isArray(schema.anyOf) && !schema.anyOf.some((each: Schema) => fits(each, value))) return false;
  return Array.isArray(value) ? listFits(schema, value) : typeOf(value) !== 'object' || mapFits(schema, value as Record<string, unknown>);
}

function listFits(schema: Schema, value: unknown[]): boolean {
  if (value.length < Number(schema.minItems ?? 0) || value.length > Number(schema.maxItems ?? Number.POSITIVE_INFINITY)) return false;
  return schema.items === undefined || value.every((item) => fits(schema.items as Schema, item));
}

function mapFits(schema: Schema, value: Record<string, unknown>): boolean {
  const keys = Object.keys(value);
  const properties = (schema.properties ?? {}) as Record<string, Schema>;
  if (!((schema.required ?? []) as string[]).every((key) => keys.includes(key))) return false;
  const needed = (schema.dependentRequired ?? {}) as Record<string, string[]>;
  if (!Object.entries(needed).every(([key, others]) => !keys.includes(key) || others.every((other) => keys.includes(other)))) return false;
  return keys.every((key) => {
    if (Object.hasOwn(properties, key)) return fits(properties[key], value[key]);
    const rest = schema.additionalProperties;
    return rest === undefined || (rest !== false && fits(rest as Schema, value[key]));
  });
}

const schema = sheetJsonSchema();

/** Sheets of the repository: every one must be read and fit the schema. */
function examples(): string[] {
  const folder = new URL('../../examples/', import.meta.url);
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter((name) => name.endsWith('.sheet.yaml'))
    .map((name) => readFileSync(new URL(name, folder), 'utf8'));
}

describe('the JSON Schema of format 1', () => {
  it('has exactly the keys that the reader knows', () => {
    expect(Object.keys(schema.properties as object).sort()).toEqual(Object.keys(SHEET_KEYS).sort());
  });

  it('is the same every time, and plain data', () => {
    expect(JSON.parse(JSON.stringify(sheetJsonSchema()))).toEqual(schema);
  });

  it('fits what the reader reads', () => {
    for (const text of [FOLLOWER, FOLLOWER_JSON, ...examples()]) {
      expect(readSheet(text).sheet).not.toBeNull();
      expect(fits(schema, parse(text))).toBe(true);
    }
  });

  it.each([
    ['an unknown key', 'load: phones', 'laod: phones'],
    ['a misspelt kind', 'R3: { resistor', 'R3: { resistr'],
    ['an unknown key of a part', 'power: 1/4 W', 'pwoer: 1/4 W'],
    ['a missing connection', 'from: base, to: gnd', 'from: base'],
    ['a missing parameter', ', reverseBeta: 3', ''],
    ['a charge without its exponent', 'ideality: 1.9', 'ideality: 1.9, junctionCapacitance: 4p'],
    ['an unknown waveform', 'waveform: sine', 'waveform: saw'],
    ['another format', 'footroom: 1', 'footroom: 3'],
    ['a map for a number', 'vcc: 9 V', 'vcc: { volts: { v: 9 } }'],
  ])('refuses %s, as the reader does', (_, line, by) => {
    const text = followerWith(line, by);
    expect(readSheet(text).sheet).toBeNull();
    expect(fits(schema, parse(text))).toBe(false);
  });
});
