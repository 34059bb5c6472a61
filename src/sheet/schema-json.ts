/**
 * The JSON Schema (draft 2020-12) of format 1, generated from the same rules by which sheets are read, for editors
 * that complete and check while typing. It says what the shape is; ranges, units and names across the sheet are
 * checked when the sheet is read.
 */
import { SHEET_OPTIONAL, SHEET_REQUIRED } from './contract.ts';
import { mapSchema } from './map-rules.ts';
import type { JsonSchema } from './rule.ts';

/** The schema as a plain value, the same every time. */
export function sheetJsonSchema(): JsonSchema {
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Footroom sheet, format 1',
    description: 'One transistor stage: supplies, parts, drive, loads and what it must reach.',
    ...mapSchema(SHEET_REQUIRED, SHEET_OPTIONAL),
    // A stage needs something that feeds it.
    anyOf: [{ required: ['supplies'] }, { required: ['drive'] }],
  };
}
