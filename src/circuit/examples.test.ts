import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readDocument, writeSheet } from '../sheet/index.ts';
import { checkSheet } from './check.ts';

const folder = new URL('../../examples/', import.meta.url);
const names = readdirSync(folder).filter((name) => name.endsWith('.sheet.yaml'));

describe('the examples', () => {
  it('tell the whole story of the listening post', () => {
    expect(names.length).toBeGreaterThanOrEqual(10);
  });

  it.each(names)('%s is sound, without a warning, and says what it shows', (name) => {
    const text = readFileSync(new URL(name, folder), 'utf8');
    const { sheet, problems } = checkSheet(text);
    expect(problems).toEqual([]);
    expect(sheet?.title).toMatch(/^Listening post/);
    expect(sheet?.notes.length).toBeGreaterThan(80);
    expect(sheet?.drive).toBeDefined();
    expect(sheet?.loads.length).toBeGreaterThan(0);
    // A returned stage has readings instead of something to reach.
    expect(Object.keys(sheet?.targets ?? {}).length > 0 || sheet?.readings !== undefined).toBe(true);
    expect(writeSheet(readDocument(text))).toBe(text);
  });
});
