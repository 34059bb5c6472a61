/** Sheets of the drawing's tests, and resting values for them from the engine. */
import { readdirSync, readFileSync } from 'node:fs';
import { ask } from '../../src/answers/ask.ts';
import type { DrawingValues, LayoutOptions } from '../../src/drawing/index.ts';
import { restLayout, restValues } from '../../src/drawing/rest.ts';
import { readSheet } from '../../src/sheet/index.ts';
import type { Sheet } from '../../src/sheet/types.ts';

/** Every sheet of a folder, by name. */
export function sheetsIn(folder: URL): { name: string; sheet: Sheet }[] {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.sheet.yaml'))
    .sort()
    .map((file) => ({ name: file.replace('.sheet.yaml', ''), sheet: sheetOf(readFileSync(new URL(file, folder), 'utf8')) }));
}

export function sheetOf(text: string): Sheet {
  const { sheet, problems } = readSheet(text);
  if (!sheet) throw new Error(problems.map((p) => p.sentence).join(' '));
  return sheet;
}

export interface Rest extends Pick<LayoutOptions, 'potentials' | 'currents'> {
  values: DrawingValues;
}

/** Resting point of a sheet as layout and picture take it; nothing where it has none. */
export function restOf(sheet: Sheet): Rest {
  const answer = ask('quiescent', sheet);
  if (!('otherSolutions' in answer)) return { values: {} };
  const values = restValues(answer, sheet);
  return { ...restLayout(values), values };
}
