/** The mid-band transfer of a stage about its rest and the limits on it: what swing tells, and what others measure by it. */
import type { Sheet } from '../sheet/types.ts';
import { emfPeak } from '../solve/generator.ts';
import { findLimits, type Limit, type Limits, type TransferCurve, traceBoth } from '../solve/limits.ts';
import { decideHeld, type ReactiveGroup } from '../solve/reactive.ts';
import type { Stage } from '../solve/stage.ts';
import { Sweep, type SweepPoint } from '../solve/sweep.ts';
import { quiescentTransfer } from '../solve/transfer.ts';

/** The drive is moved over this many spans of the supplies either way. */
export const SPANS = 10;

/** Volts from the lowest to the highest supply, ground included; without any, the drive's peak. */
export function supplySpan(sheet: Sheet): number {
  const volts = [
    0,
    ...sheet.supplies.map((s) => s.volts),
    ...sheet.parts.flatMap((p) => (p.kind === 'voltage' && !p.lifted ? [p.volts] : [])),
  ];
  const span = Math.max(...volts) - Math.min(...volts);
  return span > 0 ? span : (emfPeak(sheet) ?? 1);
}

export interface StaticLimits {
  groups: ReactiveGroup[];
  sweep: Sweep;
  rest: SweepPoint;
  /** V of drive over which the curve was followed, either way. */
  reach: number;
  curve: TransferCurve;
  limits: Limits;
  /** The limits by the way the output goes; both directions of the drive may move it the same way. */
  high: Limit | null;
  low: Limit | null;
  sameWay: boolean;
}

/** What was traced before, by stage: several answers and their help measure by the same limits. */
const traced = new WeakMap<Stage, StaticLimits | null>();

/**
 * Traces the transfer of a stage that has a drive and an output and stands at its quiescent temperatures; null where its
 * rest has no solution.
 */
export function staticLimits(stage: Stage): StaticLimits | null {
  const known = traced.get(stage);
  if (known !== undefined) return known;
  const found = trace(stage);
  traced.set(stage, found);
  return found;
}

function trace(stage: Stage): StaticLimits | null {
  const { sheet } = stage;
  const groups = decideHeld(stage, sheet.drive?.frequency);
  const transfer = quiescentTransfer(stage, groups);
  if (!transfer) return null;
  const sweep = new Sweep(transfer);
  const rest = sweep.at(sheet.drive?.offset ?? 0, transfer.x);
  if (!rest) return null;
  const reach = SPANS * supplySpan(sheet);
  const curve = traceBoth(sweep, rest, reach);
  const limits = findLimits(sweep, curve);
  return { groups, sweep, rest, reach, curve, limits, ...byOutput(limits.up, limits.down, rest) };
}

/** Sorts the limits of the two drive directions by the way the output went; where both went the same way, the nearer serves. */
function byOutput(up: Limit | null, down: Limit | null, rest: SweepPoint) {
  const isHigh = (l: Limit): boolean => l.at.output >= rest.output;
  const found = [up, down].filter((l) => l !== null);
  if (found.length === 2 && isHigh(found[0]) === isHigh(found[1])) {
    const [a, b] = found;
    const nearer = Math.abs(a.at.drive - rest.drive) <= Math.abs(b.at.drive - rest.drive) ? a : b;
    return { high: isHigh(nearer) ? nearer : null, low: isHigh(nearer) ? null : nearer, sameWay: true };
  }
  return { high: found.find(isHigh) ?? null, low: found.find((l) => !isHigh(l)) ?? null, sameWay: false };
}
