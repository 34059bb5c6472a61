/** How far can the output go each way, and what stops it? */
import { CurveStates } from '../explain/curve-states.ts';
import { causeOfLimit, type LimitContext } from '../explain/swing-cause.ts';
import { emfPeak } from '../solve/generator.ts';
import type { Limit, TransferCurve } from '../solve/limits.ts';
import type { ReactiveGroup } from '../solve/reactive.ts';
import type { Stage } from '../solve/stage.ts';
import type { Sweep, SweepPoint } from '../solve/sweep.ts';
import { cleanOutput } from './clean.ts';
import { base, noAnswer, quiescentNotes } from './common.ts';
import { helpFor } from './help.ts';
import type { Note } from './notes.ts';
import { ratingPassed } from './ratings.ts';
import { staticLimits, supplySpan } from './static-limits.ts';
import type { Side } from './told.ts';
import type { AskOptions, NoAnswer, SwingAnswer, SwingLimit } from './types.ts';

/** The printed curve goes this share of the distance between the limits beyond each. */
const MARGIN = 0.16;
/** Evenly spaced points of the printed curve; those the tracing needed come besides. */
const PRINTED = 241;
const PRINTED_BRIEFLY = 61;

export function swingAnswer(stage: Stage, isothermal: boolean, options: AskOptions): SwingAnswer | NoAnswer {
  const brief = options.brief ?? false;
  const help = options.help ?? true;
  const { sheet, network } = stage;
  if (network.generator < 0) return noAnswer('swing', sheet, { kind: 'no-drive', needs: 'drive' });
  if (network.outputNode < 0) return noAnswer('swing', sheet, { kind: 'no-output' });
  const offset = sheet.drive?.offset ?? 0;
  const found = staticLimits(stage);
  if (!found) return noAnswer('swing', sheet, { kind: 'did-not-converge', at: { quantity: 'drive', value: offset }, tried: [] });
  const { groups, sweep, rest, reach, curve, limits, high, low, sameWay } = found;
  const notes: Note[] = [...quiescentNotes(stage, isothermal), { kind: 'junctions-as-at-rest' }, ...reactiveNotes(stage, groups)];
  if (sameWay) notes.push({ kind: 'both-directions-same-way' });
  const printed = printedCurve(sweep, curve, [limits.up, limits.down], brief ? PRINTED_BRIEFLY : PRINTED);
  const states = new CurveStates(sweep, printed);
  const distance = high && low ? Math.abs(high.at.output - low.at.output) : supplySpan(sheet);
  const peak = emfPeak(sheet);
  const context: LimitContext = {
    stage,
    sweep,
    curve,
    limits,
    states,
    reach,
    distance,
    brief,
    extreme: (direction) => (peak === null ? null : offset + direction * peak),
  };
  const told = (limit: Limit | null, side: Side): SwingLimit | null => {
    if (!limit) return null;
    const room = (p: SweepPoint) => Math.abs(p.output - rest.output);
    const rating = ratingPassed(sweep, limit.direction > 0 ? curve.up : curve.down, limit);
    const cause = causeOfLimit(context, limit);
    return {
      volts: limit.at.output,
      room: room(limit.at),
      drive: limit.at.drive,
      flat: limit.flat && { volts: limit.flat.output, room: room(limit.flat) },
      ...(rating ? { rating } : {}),
      cause,
      ...(help ? { help: helpFor(stage, isothermal, side, cause, found) } : {}),
    };
  };
  const ends = [limits.up, limits.down].flatMap((l) => (l ? [Math.abs(l.at.drive - offset)] : []));
  const conducts =
    limits.conducts?.map((r) => ({ from: r.from.drive, to: r.to.drive, outputFrom: r.from.output, outputTo: r.to.output })) ?? null;
  return {
    ...base('swing', sheet, notes),
    quiescentOutput: rest.output,
    high: told(high, 'high'),
    low: told(low, 'low'),
    clean: ends.length > 0 && !brief ? cleanOutput(stage, Math.min(...ends), Math.max(...ends), limits.nil) : null,
    conducts,
    deadZone: conducts && deadZoneOf(conducts, offset),
    held: partsOf(stage, groups, true),
    leftOut: partsOf(stage, groups, false),
    curve: { drive: printed.map((p) => p.drive), output: printed.map((p) => p.output) },
  };
}

function deadZoneOf(conducts: { from: number; to: number }[], offset: number): { from: number; to: number } | null {
  const below = conducts.filter((r) => r.to <= offset).map((r) => r.to);
  const above = conducts.filter((r) => r.from >= offset).map((r) => r.from);
  if (below.length === 0 || above.length === 0) return null;
  return { from: Math.max(...below), to: Math.min(...above) };
}

/** The curve as printed: evenly spaced points and those that the tracing needed, in rising order of the drive. */
function printedCurve(sweep: Sweep, curve: TransferCurve, limits: (Limit | null)[], count: number): SweepPoint[] {
  const all = [...[...curve.down].reverse(), curve.rest, ...curve.up];
  const drives = limits.flatMap((l) => (l ? [l.at.drive] : []));
  const first = all[0].drive;
  const last = all[all.length - 1].drive;
  let from = first;
  let to = last;
  if (drives.length > 0) {
    const others = drives.length > 1 ? drives : [drives[0], 2 * curve.rest.drive - drives[0]];
    const margin = MARGIN * (Math.max(...others) - Math.min(...others));
    from = Math.max(first, Math.min(...others) - margin);
    to = Math.min(last, Math.max(...others) + margin);
  }
  const inside = all.filter((p) => p.drive > from && p.drive < to);
  const points: SweepPoint[] = [];
  let near = inside[0] ?? curve.rest;
  for (let k = 0; k < count; k++) {
    const drive = from + ((to - from) * k) / (count - 1);
    const nearest = inside.reduce((best, p) => (Math.abs(p.drive - drive) < Math.abs(best.drive - drive) ? p : best), near);
    const p = sweep.at(drive, nearest);
    if (p) {
      points.push(p);
      near = p;
    }
  }
  return [...points, ...inside].sort((a, b) => a.drive - b.drive);
}

function partsOf(stage: Stage, groups: ReactiveGroup[], held: boolean): string[] {
  const { network } = stage;
  const names = groups
    .filter((g) => g.held === held)
    .flatMap((g) => g.members.map((k) => (g.kind === 'capacitor' ? network.capacitors[k].part : network.branches[k].part)));
  return [...new Set(names)];
}

function reactiveNotes(stage: Stage, groups: ReactiveGroup[]): Note[] {
  const frequency = stage.sheet.drive?.frequency;
  const held = partsOf(stage, groups, true);
  const leftOut = partsOf(stage, groups, false);
  const notes: Note[] = [];
  if (held.length > 0) notes.push({ kind: 'held', parts: held });
  if (leftOut.length > 0 && frequency !== undefined) notes.push({ kind: 'left-out', parts: leftOut, frequency });
  for (const g of groups) {
    if (!g.belowCorner || frequency === undefined) continue;
    for (const part of partsOf(stage, [g], true)) notes.push({ kind: 'below-corner', part, frequency });
  }
  return notes;
}
