/**
 * What a run of brief answers keeps from one input to the next: the stage, and the settled period to start from. It
 * belongs to whoever asks; answers that are not brief never see it, so that they do not depend on what came before.
 */
import { meanPowers } from '../explain/stretches.ts';
import type { Sheet } from '../sheet/types.ts';
import { emfPeak } from '../solve/generator.ts';
import { temperaturesOf } from '../solve/heat.ts';
import type { Orbit } from '../solve/orbit.ts';
import { type PeriodicOptions, PeriodicSolver } from '../solve/periodic.ts';
import { openStage, type Stage, sameStructure } from '../solve/stage.ts';
import { linearOrbit } from './departure.ts';
import { type MovingDrive, periodicDrive, type Settled, settle } from './settle.ts';

/** Brief answers: errors to 1e-4 of each node's scale, about a third of a pixel of a figure. */
export const BRIEF: PeriodicOptions = { tolerance: 1e-4, most: 1200, first: 30, done: 1e-6 };
/** While the heat settles the mesh of the first round stands. */
const FROZEN: PeriodicOptions = { ...BRIEF, tolerance: Number.POSITIVE_INFINITY };
/** K: junction temperatures of a brief answer agree to this: 0.1 mV of V_BE. */
const HEAT_TOLERANCE = 0.05;
const HEAT_ROUNDS = 6;

export class Warm {
  private stage: Stage | null = null;
  private isothermal = false;
  private period: { stage: Stage; settled: Settled; drive: MovingDrive } | null = null;
  private linear: { stage: Stage; orbit: Orbit; drive: MovingDrive } | null = null;

  /** The stage of a sheet, at rest: that of the question before where it is the same sheet, else opened from the last. */
  open(sheet: Sheet, isothermal: boolean): Stage {
    if (this.stage !== null && this.stage.sheet === sheet && this.isothermal === isothermal) {
      this.stage.kernel.setTemperatures(this.stage.temperatures);
      return this.stage;
    }
    const near = this.isothermal === isothermal ? (this.stage ?? undefined) : undefined;
    this.isothermal = isothermal;
    this.stage = null;
    this.stage = openStage(sheet, { isothermal, near });
    return this.stage;
  }

  /** The settled period to the accuracy of a brief answer, from the last one where Newton gets there. Throws as `settle` does. */
  settle(stage: Stage, drive: MovingDrive): Settled {
    const { period } = this;
    this.period = null;
    const resumed = period !== null && sameStructure(period.stage.network, stage.network) ? resume(stage, drive, period) : null;
    const settled = resumed ?? settle(stage, drive, BRIEF);
    this.period = { stage, settled, drive };
    return settled;
  }

  /** The small-signal response to the same drive, to the same accuracy. */
  response(stage: Stage, drive: MovingDrive, peak: number): Orbit {
    const before = this.linear;
    this.linear = null;
    const fits = before !== null && before.drive.waveform === drive.waveform && sameStructure(before.stage.network, stage.network);
    const near = fits ? stretched(before.orbit, before.drive.frequency / drive.frequency) : null;
    const orbit = linearOrbit(stage, drive, peak, BRIEF, near);
    this.linear = { stage, orbit, drive };
    return orbit;
  }
}

/** From the period before, stretched to the new one's length, heat included; null where that does not lead there. */
function resume(stage: Stage, drive: MovingDrive, before: { settled: Settled; drive: MovingDrive }): Settled | null {
  // An amplitude meant at the node takes a search of its own, and another waveform has its corners elsewhere.
  if (drive.atNode || drive.waveform !== before.drive.waveform) return null;
  const peak = emfPeak(stage.sheet) ?? 0;
  const solver = new PeriodicSolver(stage.kernel, periodicDrive(drive, peak));
  let temperatures = Float64Array.from(before.settled.temperatures);
  let orbit = stretched(before.settled.orbit, before.drive.frequency / drive.frequency);
  for (let round = 0; round < HEAT_ROUNDS; round++) {
    stage.kernel.setTemperatures(temperatures);
    const outcome = solver.resume(orbit, round === 0 ? BRIEF : FROZEN);
    if (outcome === null) return null;
    orbit = outcome.orbit;
    if (stage.paths.warm.length === 0) return { ...outcome, peak, temperatures: stage.temperatures, solver };
    const next = temperaturesOf(stage.paths, meanPowers(stage.kernel, orbit));
    const moved = stage.paths.warm.reduce((most, k) => Math.max(most, Math.abs(next[k] - temperatures[k])), 0);
    if (moved <= HEAT_TOLERANCE) return { ...outcome, peak, temperatures, solver };
    const warmer = Float64Array.from(temperatures);
    for (const k of stage.paths.warm) warmer[k] = next[k];
    temperatures = warmer;
  }
  return null;
}

function stretched(orbit: Orbit, factor: number): Orbit {
  return factor === 1 ? orbit : { ...orbit, mesh: orbit.mesh.map((t) => t * factor) };
}
