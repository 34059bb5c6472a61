/** The largest settled output within the distortion target, and the drive it takes (`physics.md`, Clean). */
import { quadratureOf, valuesAt } from '../measure/integrals.ts';
import { spectrumOf } from '../measure/spectrum.ts';
import { RunsAway } from '../solve/heat.ts';
import { extremes } from '../solve/orbit-extremes.ts';
import { NotSettled, type PeriodicOptions } from '../solve/periodic.ts';
import type { Stage } from '../solve/stage.ts';
import { departureOf } from './departure.ts';
import { type MovingDrive, type Settled, settleAt } from './settle.ts';
import type { SwingAnswer } from './types.ts';

const USUAL_DISTORTION = 0.01;
/** The amplitude is found to this share. */
const FOUND = 1e-5;
const ROUNDS = 40;
/** Coarser than a waveform that is shown: a distortion of 1 % is known to 1e-3 of itself. */
const OPTIONS: PeriodicOptions = { tolerance: 1e-4, most: 1200 };
/** Factor between amplitudes while the target is sought. */
const STRIDE = 1.25;
const STRIDES = 30;
/** An output below this share of the largest tried is what leaks through a dead zone, not an output. */
const NOTHING = 1e-3;

interface Tried {
  peak: number;
  distortion: number;
  output: number;
}

/**
 * `near` is the peak drive (V) of the nearer limit, `far` that of the outermost; in a dead zone the search comes down from
 * the far one, because distortion there falls with the drive first.
 */
export function cleanOutput(stage: Stage, near: number, far: number, nil: boolean): SwingAnswer['clean'] {
  const { sheet, network } = stage;
  if (!sheet.drive || sheet.drive.frequency === undefined || network.outputNode < 0) return null;
  const drive = { ...sheet.drive, waveform: sheet.drive.waveform === 'none' ? 'sine' : sheet.drive.waveform, atNode: false } as MovingDrive;
  const target = sheet.targets.distortion?.atMost ?? USUAL_DISTORTION;
  let known: Settled | undefined;
  const at = (peak: number): Tried | null => {
    try {
      known = settleAt(stage, drive, peak, OPTIONS, known);
    } catch (e) {
      if (e instanceof NotSettled || e instanceof RunsAway) return null;
      throw e;
    }
    if ((known.multipliers[0]?.size ?? 0) > 1) return null;
    const distortion = distortionOf(stage, drive, known);
    const { minimum, maximum } = extremes(known.orbit, network.outputNode);
    return distortion === null ? null : { peak, distortion, output: maximum - minimum };
  };
  const found = nil ? fromAbove(at, far * STRIDE, target) : around(at, near, target);
  stage.kernel.setTemperatures(stage.temperatures);
  return found && { peakToPeak: found.output, drive: 2 * found.peak, distortion: found.distortion };
}

function distortionOf(stage: Stage, drive: MovingDrive, settled: Settled): number | null {
  const quadrature = quadratureOf(settled.orbit, 4);
  const values = valuesAt(settled.orbit, quadrature, stage.network.nodes.length);
  const s = spectrumOf(quadrature, 1 / drive.frequency, values, settled.orbit.n, stage.network.outputNode, 1);
  return drive.waveform === 'sine' ? s.distortion.relativeToFundamental : departureOf(stage, drive, settled, quadrature, values, s.mean);
}

type At = (peak: number) => Tried | null;

/** Comes down from `start` to the first amplitude within the target. */
function fromAbove(at: At, start: number, target: number): Tried | null {
  let over: Tried | null = null;
  let largest = 0;
  let peak = start;
  for (let k = 0; k < STRIDES; k++) {
    const here = at(peak);
    if (!here || (over && here.output < NOTHING * largest)) return null;
    largest = Math.max(largest, here.output);
    if (here.distortion <= target) return over ? between(at, here, over, target) : null;
    over = here;
    peak /= STRIDE;
  }
  return null;
}

/** Brackets the target from one amplitude on, up or down as it needs. */
function around(at: At, start: number, target: number): Tried | null {
  let here = at(start);
  if (!here) return null;
  const up = here.distortion <= target;
  for (let k = 0; k < STRIDES; k++) {
    const next = at(up ? here.peak * STRIDE : here.peak / STRIDE);
    if (!next) return null;
    if (next.distortion <= target !== up) return up ? between(at, here, next, target) : between(at, next, here, target);
    here = next;
  }
  return null;
}

/** The border between an amplitude within the target and one beyond it, by bisection with secant steps. */
function between(at: At, within: Tried, beyond: Tried, target: number): Tried {
  let a = within;
  let b = beyond;
  for (let k = 0; k < ROUNDS && b.peak - a.peak > FOUND * a.peak; k++) {
    const secant = (target - a.distortion) / (b.distortion - a.distortion);
    const share = k % 3 === 2 || !(secant > 0 && secant < 1) ? 0.5 : Math.min(0.95, Math.max(0.05, secant));
    const mid = at(a.peak + share * (b.peak - a.peak));
    if (!mid) break;
    if (mid.distortion <= target) a = mid;
    else b = mid;
    if (Math.abs(mid.distortion - target) < 1e-6 * target) return mid.distortion <= target ? mid : a;
  }
  return a;
}
