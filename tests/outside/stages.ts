/** The six stages that are held against general-purpose solvers, and how the engine's answers compare with theirs. */
import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { ask } from '../../src/answers/ask.ts';
import type { QuiescentAnswer, WaveformAnswer } from '../../src/answers/types.ts';
import { type FlatStage, flatten } from './exchange.ts';
import { sheetFromText } from './read.ts';
import { close } from './support.ts';

/** What an outside program found for one stage; nodes of the sheet and inside devices alike, by name. */
export interface OutsideSolution {
  rest: Record<string, number>;
  /** 512 uniform samples of one settled period from the drive's upward crossing. */
  nodes: Record<string, number[]>;
  /** Peak volts of the output's harmonics from the fundamental on, and its distortion to the fundamental. */
  harmonics?: number[];
  distortion?: number;
  /** How far the outside solution misses its own start after one more period, V. */
  miss: number;
}

export const SAMPLES = 512;
/** The outside programs agree with each other to 3e-6 V on these stages: room for their own error, V. */
const OUTSIDE_ERROR = 5e-6;

const folder = new URL('./stages/', import.meta.url);
export const STAGES: { name: string; text: string }[] = readdirSync(folder)
  .filter((file) => file.endsWith('.sheet.yaml'))
  .map((file) => ({ name: file.slice(0, -'.sheet.yaml'.length), text: readFileSync(new URL(file, folder), 'utf8') }));

export function flatStage(text: string): FlatStage {
  return flatten(sheetFromText(text));
}

/** Compares rest, settled nodes and, where the solution has them, harmonics with the engine's answers to the same sheet. */
export function compareStage(text: string, solution: OutsideSolution): void {
  const sheet = sheetFromText(text);
  expect(solution.miss, 'the outside solution has settled itself').toBeLessThan(OUTSIDE_ERROR);

  const rest = ask('quiescent', sheet) as QuiescentAnswer;
  const waveform = ask('waveform', sheet, { samples: SAMPLES, harmonics: 20 }) as WaveformAnswer;
  for (const answer of [rest, waveform]) expect(answer).not.toHaveProperty('failure');
  const names = Object.keys(solution.nodes).filter((name) => name in rest.nodes);
  expect(names.length).toBeGreaterThanOrEqual(2);
  for (const name of names) {
    // Both solve to 1e-12 A and better; a node behind 100 kohm may then be 1e-7 V off.
    close(rest.nodes[name], solution.rest[name]!, 1e-9, 1e-7, `${name} at rest`);
    const wanted = solution.nodes[name]!;
    const peakToPeak = Math.max(...wanted) - Math.min(...wanted);
    const worst = waveform.nodes[name]!.reduce((most, volts, k) => Math.max(most, Math.abs(volts - wanted[k]!)), 0);
    // The contract: 1e-4 of the node's peak-to-peak value or of 1 mV.
    expect(worst, `${name}: settled waveform, V off`).toBeLessThan(1e-4 * Math.max(peakToPeak, 1e-3) + OUTSIDE_ERROR);
  }
  if (solution.harmonics === undefined || solution.distortion === undefined) return;
  const spectrum = waveform.spectrum!;
  const fundamental = solution.harmonics[0]!;
  close(spectrum.fundamental.magnitude, fundamental, 1e-4, 0, 'fundamental');
  expect(spectrum.harmonics).toHaveLength(19);
  // The sampled outside wave folds its 8192nd harmonics back; both that and the settled error are below 1e-4 of the fundamental.
  spectrum.harmonics.forEach((magnitude, k) => {
    close(magnitude, solution.harmonics![k + 1]!, 1e-3, 1e-4 * fundamental, `harmonic ${k + 2}`);
  });
  close(spectrum.distortion.relativeToFundamental, solution.distortion, 2e-3, 1e-4, 'distortion');
}

/**
 * Declares a test for each stage, or, where the outside program is not installed, says how to get it: skipped on a
 * person's machine, a failure under continuous integration (`CI=true`).
 */
export function onEachStage(program: string, missing: string | null, solve: (stage: FlatStage) => Promise<OutsideSolution>): void {
  if (missing !== null && process.env.CI !== 'true') {
    console.warn(`Not run: ${program} is missing. To run these checks: ${missing}`);
    it.skip(`needs ${program}: ${missing}`, () => {});
    return;
  }
  it.each(STAGES)(
    `$name: rest, settled waveform and harmonics agree with ${program}`,
    async ({ text }) => {
      expect(missing, `${program} must be installed here: ${missing}`).toBeNull();
      compareStage(text, await solve(flatStage(text)));
    },
    180_000,
  );
}
