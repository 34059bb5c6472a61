/** Sheets of the drawing's tests, and resting values for them from the engine. */
import { readdirSync, readFileSync } from 'node:fs';
import { ask } from '../../src/answers/ask.ts';
import type { DrawingValues } from '../../src/drawing/index.ts';
import { readSheet } from '../../src/sheet/index.ts';
import type { Sheet } from '../../src/sheet/types.ts';

/** Every sheet of a folder beside this file or in the project, by name. */
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

export interface Rest {
  potentials?: Record<string, number>;
  currents?: Record<string, number>;
  values: DrawingValues;
}

/** Resting point of a sheet in the drawing's signs: currents run from the first terminal to the second. */
export function restOf(sheet: Sheet): Rest {
  const answer = ask('quiescent', sheet);
  if (!('otherSolutions' in answer)) return { values: {} };
  const currents: Record<string, number> = {};
  const branches: NonNullable<DrawingValues['currents']> = {};
  const devices: NonNullable<DrawingValues['devices']> = {};
  for (const [name, figures] of Object.entries(answer.parts)) {
    if (!('collectorCurrent' in figures)) {
      currents[name] = figures.current;
      branches[name] = figures.current;
      continue;
    }
    const sign = sheet.parts.some((p) => p.name === name && p.kind === 'pnp') ? -1 : 1;
    currents[name] = sign * figures.collectorCurrent;
    branches[name] = { first: sign * figures.collectorCurrent, second: sign * figures.emitterCurrent };
    devices[name] = { state: figures.region, beta: figures.beta };
  }
  const { nodes } = answer;
  return { potentials: nodes, currents, values: { volts: nodes, currents: branches, devices } };
}
