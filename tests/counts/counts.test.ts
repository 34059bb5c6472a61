/**
 * What `ask waveform` costs on each example, counted rather than timed: the same on every machine. A change that needs
 * more than 15 % above the committed table fails here; one that needs less is welcome to write its own figures into it.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { movingDrive, settle } from '../../src/answers/settle.ts';
import { checkSheet } from '../../src/circuit/check.ts';
import { openStage } from '../../src/solve/stage.ts';
import table from './counts.json' with { type: 'json' };

interface Counts {
  /** Newton iterations over the whole period, all searches together. */
  periodNewton: number;
  /** Newton iterations of the quiescent point, with the heat. */
  restNewton: number;
  /** Evaluations of the device equations up to the settled waveform. */
  evaluations: number;
  /** Steps of the last mesh. */
  meshSteps: number;
}
const ALLOWED = 1.15;

const folder = new URL('../../examples/', import.meta.url);
const names = readdirSync(folder).filter((name) => name.endsWith('.sheet.yaml'));
const committed = table as Record<string, Counts>;

function countsOf(name: string): Counts {
  const { sheet } = checkSheet(readFileSync(new URL(name, folder), 'utf8'));
  const drive = sheet && movingDrive(sheet);
  if (!drive) throw new Error(`${name} has no drive that moves`);
  const stage = openStage(sheet);
  const restNewton = stage.solver.iterations;
  const { solver, orbit } = settle(stage, drive);
  return { periodNewton: solver.iterations, restNewton, evaluations: stage.kernel.evaluations, meshSteps: orbit.mesh.length - 1 };
}

describe('the effort of a settled waveform', () => {
  it('is in the table for every example, and for nothing else', () => {
    expect(Object.keys(committed)).toEqual(names);
  });

  it.each(names)('%s needs no more than the table allows', (name) => {
    const counts = countsOf(name);
    const row = `${JSON.stringify(name)}: ${JSON.stringify(counts)}`;
    for (const key of ['periodNewton', 'restNewton', 'evaluations', 'meshSteps'] as const)
      expect(counts[key], `${key}; all counts now are ${row}`).toBeLessThanOrEqual(ALLOWED * committed[name][key]);
  });
});
