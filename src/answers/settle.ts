/** The settled period of a stage with its drive: amplitude at the node found where it is meant there, heat settled with it. */

import { meanPowers } from '../explain/stretches.ts';
import { quadratureOf, valuesAt } from '../measure/integrals.ts';
import { measureUnknown } from '../measure/measures.ts';
import { square } from '../numerics/elementary.ts';
import type { Drive, Sheet } from '../sheet/types.ts';
import { settleSecond } from '../solve/cross-check.ts';
import { emfPeak, shapeOf } from '../solve/generator.ts';
import { settleHeat } from '../solve/heat.ts';
import type { Orbit } from '../solve/orbit.ts';
import { extremes } from '../solve/orbit-extremes.ts';
import { ACCURATE, NotSettled, type PeriodicDrive, type PeriodicOptions, type PeriodicOutcome, PeriodicSolver } from '../solve/periodic.ts';
import { orbitThrough } from '../solve/second-start.ts';
import type { Stage } from '../solve/stage.ts';

/** K: temperatures of the settled period agree to this. */
const HEAT_TOLERANCE = 2e-4;
/** No mesh is redistributed. */
const FROZEN: PeriodicOptions = { tolerance: Number.POSITIVE_INFINITY, most: 0 };
/** Share to which an amplitude at the node is met. */
const AMPLITUDE_TOLERANCE = 1e-7;
const AMPLITUDE_ROUNDS = 40;
/** Steps of the amplitude where the full one is not found at once. */
const AMPLITUDE_STEPS = 16;

export interface Settled extends PeriodicOutcome {
  /** Peak of the generator's alternating electromotive force, V. */
  peak: number;
  temperatures: Float64Array;
  solver: PeriodicSolver;
}

/** What a search nearby starts from. */
export type Known = Pick<Settled, 'orbit' | 'temperatures' | 'solver'>;

/** Frequency and waveform of a drive that can settle. */
export type MovingDrive = Drive & { frequency: number };

export function movingDrive(sheet: Sheet): MovingDrive | null {
  const { drive } = sheet;
  return drive?.frequency !== undefined && drive.waveform !== 'none' ? (drive as MovingDrive) : null;
}

/**
 * Finds the settled period for the sheet's own drive. Changes the kernel's temperatures to the settled ones.
 * Throws `NotSettled` or `RunsAway`.
 */
export function settle(stage: Stage, drive: MovingDrive, options: PeriodicOptions = ACCURATE): Settled {
  const wanted = emfPeak(stage.sheet) ?? 0;
  let known: Settled | undefined;
  const withHeat = (peak: number): Settled => {
    try {
      known = settleAt(stage, drive, peak, options, known);
    } catch (e) {
      if (!(e instanceof NotSettled)) throw e;
      known = settleOtherwise(stage, drive, peak, options);
    }
    return known;
  };
  if (!drive.atNode) return withHeat(wanted);
  return amplitudeAtNode(stage, drive, wanted, withHeat);
}

/** The settled period at one amplitude (V peak of electromotive force), heat included; warm where one is known. */
export function settleAt(stage: Stage, drive: MovingDrive, peak: number, options: PeriodicOptions, known?: Known): Settled {
  const periodic = periodicDrive(drive, peak);
  const solver = known?.solver ?? new PeriodicSolver(stage.kernel, periodic);
  solver.setDrive(periodic);
  let outcome: PeriodicOutcome | null = null;
  let orbit: Orbit | undefined = known?.orbit;
  const solveNow = (exactly = options): PeriodicOutcome => {
    const warm = orbit && solver.resume(orbit, exactly);
    const found = warm ?? solver.solve(stage.x, options);
    orbit = found.orbit;
    return found;
  };
  if (stage.paths.warm.length === 0) {
    outcome = solveNow();
    return { ...outcome, peak, temperatures: stage.temperatures, solver };
  }
  let rounds = 0;
  const temperatures = settleHeat(
    stage.paths,
    (kelvin) => {
      stage.kernel.setTemperatures(kelvin);
      try {
        // While the heat settles the mesh of the first round stands; the last solution follows its own.
        outcome = solveNow(rounds++ === 0 ? options : FROZEN);
      } catch (e) {
        if (e instanceof NotSettled) return null;
        throw e;
      }
      return meanPowers(stage.kernel, outcome.orbit);
    },
    { tolerance: HEAT_TOLERANCE, start: known?.temperatures },
  );
  stage.kernel.setTemperatures(temperatures);
  outcome = solveNow();
  return { ...outcome, peak, temperatures, solver };
}

/** Secant steps on the electromotive force until the node itself shows the amplitude. */
function amplitudeAtNode(stage: Stage, drive: MovingDrive, wanted: number, withPeak: (peak: number) => Settled): Settled {
  const form = drive.amplitude?.form ?? 'peak';
  const node = stage.network.driveNode;
  const shown = (s: Settled): number => {
    if (form !== 'rms') {
      const e = extremes(s.orbit, node);
      return (e.maximum - e.minimum) / 2;
    }
    const q = quadratureOf(s.orbit, 1);
    const m = measureUnknown(s.orbit, node, q, valuesAt(s.orbit, q, stage.network.nodes.length));
    return Math.sqrt(Math.max(0, square(m.rms) - square(m.mean)));
  };
  const goal = form === 'rms' && drive.amplitude ? drive.amplitude.volts : wanted;
  let a = { peak: 0, shown: 0 };
  let peak = wanted;
  let settled = withPeak(peak);
  for (let k = 0; k < AMPLITUDE_ROUNDS; k++) {
    const b = { peak, shown: shown(settled) };
    if (Math.abs(b.shown - goal) <= AMPLITUDE_TOLERANCE * goal) return settled;
    const slope = (b.shown - a.shown) / (b.peak - a.peak);
    // A node that a junction clamps hardly rises: the step is kept within a factor of four.
    const next = slope > 0 ? b.peak + (goal - b.shown) / slope : 2 * b.peak;
    a = b;
    peak = Math.min(4 * b.peak, Math.max(b.peak / 4, next));
    settled = withPeak(peak);
  }
  throw new NotSettled(AMPLITUDE_ROUNDS);
}

/** The generator's alternating part over one period. */
export function periodicDrive(drive: MovingDrive, peak: number): PeriodicDrive {
  const shape = shapeOf(drive);
  return { period: 1 / drive.frequency, corners: shape.corners, emf: (phase) => drive.offset + peak * shape.at(phase) };
}

/** Where the first method has not settled at once: by rising amplitude, then from the second method's period. */
function settleOtherwise(stage: Stage, drive: MovingDrive, peak: number, options: PeriodicOptions): Settled {
  try {
    return settleRising(stage, drive, peak, options);
  } catch (e) {
    if (!(e instanceof NotSettled)) throw e;
    return settleFromSecond(stage, drive, peak, options, e.shots);
  }
}

/** The settled period started from that of the second method, at the quiescent temperatures. Throws `NotSettled`. */
export function settleFromSecond(stage: Stage, drive: MovingDrive, peak: number, options: PeriodicOptions, shots = 0): Settled {
  const periodic = periodicDrive(drive, peak);
  stage.kernel.setTemperatures(stage.temperatures);
  const second = settleSecond(stage.kernel, periodic, stage.x);
  if (!second) throw new NotSettled(shots);
  const orbit = orbitThrough(second, periodic.corners);
  return settleAt(stage, drive, peak, options, {
    orbit,
    temperatures: stage.temperatures,
    solver: new PeriodicSolver(stage.kernel, periodic),
  });
}

/** Raises the amplitude in steps where the full one is not reached at once. */
function settleRising(stage: Stage, drive: MovingDrive, peak: number, options: PeriodicOptions): Settled {
  let known: Settled | undefined;
  for (let k = 1; k <= AMPLITUDE_STEPS; k++) known = settleAt(stage, drive, (peak * k) / AMPLITUDE_STEPS, options, known);
  return known as Settled;
}
