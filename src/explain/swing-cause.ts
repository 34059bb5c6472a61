/** The cause of a limit: who, what it did, what asked for it, and the evidence from both sides (`physics.md`). */

import type { BipolarRegion } from '../devices/state.ts';
import { RunsAway } from '../solve/heat.ts';
import { findLimits, type Limit, type Limits, type TransferCurve, traceBoth } from '../solve/limits.ts';
import { NoSolution, openStage, type Stage } from '../solve/stage.ts';
import { Sweep, type SweepPoint } from '../solve/sweep.ts';
import { quiescentTransfer } from '../solve/transfer.ts';
import { changedAt, ends, joined, lifted, openChanged, withCurrent, withoutBreakdown } from './changes.ts';
import type { CurveStates } from './curve-states.ts';
import { type Demand, demandOf, toldDemand } from './demand.ts';
import { blame, sharesOf } from './shares.ts';
import type { Cause, CauseEvent } from './types.ts';

/** `rest` must agree with the observed output within this share of the distance between the limits. */
const AGREES = 0.02;
/** Relief counts when it moves the limit by this share of its room. */
const MOVES = 0.02;
/** V by which a supply is raised for relief. */
const RAISED = 1;
/** Relief is measured with what is lacking this share of the room's drive beyond the limit. */
const BEYOND = 0.25;

export interface LimitContext {
  stage: Stage;
  sweep: Sweep;
  curve: TransferCurve;
  limits: Limits;
  states: CurveStates;
  /** V of drive either way. */
  reach: number;
  /** Distance between the limits' outputs, or the supply span. */
  distance: number;
  /** True: relief is not looked for, and what is proven stands on the rest of the evidence. */
  brief: boolean;
  /** The generator's own extreme in each direction, V of electromotive force: what is asked when the limit lies within it. */
  extreme: (direction: 1 | -1) => number | null;
}

const EVENTS: Record<BipolarRegion, CauseEvent> = {
  off: 'cuts-off',
  saturated: 'saturates',
  breakdown: 'breaks-down',
  reversed: 'reverses',
  active: 'turns-on',
};

/** Explains one limit. */
export function causeOfLimit(context: LimitContext, limit: Limit): Cause {
  const { sweep, limits } = context;
  const { network } = sweep.transfer;
  const shares = sharesOf(sweep.transfer, limits.reference, limit.before, limit.at);
  const named = blame(shares);
  const devices = [...network.transistors, ...network.diodes];
  const notable = Object.fromEntries(Object.entries(shares).filter(([, s]) => Math.abs(s) >= 0.01));
  const k = devices.findIndex((d) => d.part === named.part);
  if (limit.jumps || k < 0) {
    return {
      part: named.part,
      event: limit.jumps ? 'jumps' : 'fades',
      proven: false,
      shares: notable,
      demand: null,
      evidence: null,
      sentence: '',
    };
  }
  const happened = eventOf(context, limit, k);
  const drive = driveAsked(context, limit);
  const demand = happened.event === 'saturates' ? baseDemand(context, k, limit.at) : demandAsked(context, limit, k, drive);
  const evidence = evidenceOf(context, limit, k, happened);
  const relief = evidence && !context.brief ? reliefOf(context, limit, k, happened.event) : null;
  const rest = evidence?.rest;
  const agrees = rest ? Math.abs(rest.output - rest.changed) <= AGREES * context.distance : false;
  const moved =
    context.brief ||
    (relief !== null &&
      (relief.volts === null || Math.abs(relief.volts - limit.at.output) > MOVES * Math.abs(limit.at.output - context.curve.rest.output)));
  const alone = named.second === null && shares[devices[k].part] >= 0.5;
  const proven = alone && agrees && moved;
  const missing = proven ? undefined : !alone ? 'shared' : !rest ? 'no-state' : !agrees ? 'disagrees' : 'no-relief';
  return {
    part: devices[k].part,
    second: named.second ?? undefined,
    event: happened.event,
    proven,
    missing,
    shares: notable,
    demand: toldDemand(demand),
    evidence: evidence && { ...evidence, relief },
    sentence: '',
  };
}

interface Happened {
  event: CauseEvent;
  /** Where the device first reaches the state. */
  reached: SweepPoint | null;
}

/** The device's first state other than its quiescent one, at the limit or beyond it. */
function eventOf(context: LimitContext, limit: Limit, k: number): Happened {
  const { curve, states, limits } = context;
  const outwards = limit.direction > 0 ? curve.up : curve.down;
  const from = states.at(k, limits.nil ? limit.before : curve.rest);
  const beyond = [limit.at, ...outwards.filter((p) => limit.direction * (p.drive - limit.at.drive) > 0)];
  const change = states.firstChange(k, beyond, from);
  if (!change) return { event: 'fades', reached: null };
  const event = from === 'off' && change.state !== 'breakdown' && change.state !== 'reversed' ? 'turns-on' : EVENTS[change.state];
  if (event === 'cuts-off' && limit.flat && limit.direction * (change.point.drive - limit.flat.drive) > 0)
    return { event: 'fades', reached: null };
  if (change.point !== limit.at) return { event, reached: change.point };
  // The state was entered before the limit: find where.
  const inside = [
    limits.nil ? limit.before : curve.rest,
    ...outwards.filter((p) => limit.direction * (p.drive - limit.at.drive) < 0),
    limit.at,
  ];
  const first = inside.findLastIndex((p) => states.at(k, p) !== change.state);
  const entered = states.firstChange(k, inside.slice(Math.max(0, first)), states.at(k, inside[Math.max(0, first)]));
  return { event, reached: entered?.point ?? limit.at };
}

/** The drive at which the demand is told: the generator's own extreme where that is beyond the limit, else the limit's. */
function driveAsked(context: LimitContext, limit: Limit): number {
  const extreme = context.extreme(limit.direction);
  return extreme !== null && limit.direction * (extreme - limit.at.drive) > 0 ? extreme : limit.at.drive;
}

/**
 * What is asked at `drive`. At the limit itself the device still conducts, so what is asked may be a little less than
 * what there is, and the shortage has the other sign: who asks and who carries shows beyond it.
 */
function demandAsked(context: LimitContext, limit: Limit, k: number, drive: number): Demand | null {
  const { sweep, stage, curve } = context;
  const demand = (at: number, lacking?: number): Demand | null =>
    demandOf(sweep, k, limit.before, at, limit.at, stage.temperatures, stage.sheet.ambient, lacking);
  const here = demand(drive);
  if (!here || drive !== limit.at.drive) return here;
  const beyond = demand(drive + BEYOND * (drive - curve.rest.drive));
  const lacking = Math.sign(beyond?.shortage ?? 0);
  if (lacking === 0 || lacking === Math.sign(here.shortage)) return here;
  // Where nobody asks yet, as at the end of the supplies, what is asked beyond is told.
  return demand(drive, lacking) ?? beyond;
}

/** A saturated device: what its base current asks for, and what the circuit lets through. */
function baseDemand(context: LimitContext, k: number, at: SweepPoint): Demand | null {
  const { states, sweep } = context;
  const asked = states.collectorAsked(k, at);
  const [node, , part] = ends(sweep.transfer.network, k);
  return asked && { part, amperes: asked.asked, capacity: asked.flows, by: part, node, shortage: 0 };
}

function evidenceOf(
  context: LimitContext,
  limit: Limit,
  k: number,
  happened: Happened,
): Omit<NonNullable<Cause['evidence']>, 'relief'> | null {
  const { sweep, stage } = context;
  const { transfer } = sweep;
  const { network } = transfer;
  if (!happened.reached) return null;
  const reached = happened.reached;
  const [a, b, part] = ends(network, k);
  const v = (p: SweepPoint, i: number): number => (i < 0 ? 0 : p.x[i]);
  const at = (p: SweepPoint) => v(p, a) - v(p, b);
  const change = happened.event === 'cuts-off' ? 'lifted' : happened.event === 'breaks-down' ? 'without-breakdown' : 'joined';
  const changed = (p: SweepPoint): number | null => {
    const edited =
      change === 'lifted' ? lifted(network, k) : change === 'joined' ? joined(network, k, at(p)) : withoutBreakdown(network, k);
    const there = changedAt(openChanged(transfer, edited, stage.temperatures, stage.sheet.ambient), p.drive, p);
    return there?.output ?? null;
  };
  const restChanged = changed(reached);
  return {
    change,
    part,
    volts: changed(limit.at),
    rest: restChanged === null ? null : { drive: reached.drive, output: reached.output, changed: restChanged },
  };
}

interface Relief {
  change: string;
  volts: number | null;
}

/** The limit again, with the shortage relieved: by the missing current, by taking the culprit away, or by a higher supply. */
function reliefOf(context: LimitContext, limit: Limit, k: number, event: CauseEvent): Relief | null {
  const { network } = context.sweep.transfer;
  if (event === 'turns-on') return relieved('lifted', limitAgain(context, lifted(network, k), limit.direction));
  if (event === 'breaks-down') return relieved('without-breakdown', limitAgain(context, withoutBreakdown(network, k), limit.direction));
  const reliefs = context.stage.sheet.supplies.map((s) =>
    relieved(`${s.node}-raised`, limitWithSupply(context, s.node, s.volts < 0 ? -RAISED : RAISED, limit.direction)),
  );
  if (event === 'cuts-off') {
    const missing = shortageBeyond(context, limit, k);
    if (missing)
      reliefs.unshift(
        relieved('current-supplied', limitAgain(context, withCurrent(network, missing.node, missing.shortage), limit.direction)),
      );
  }
  const moved = (r: Relief): number => (r.volts === null ? Number.POSITIVE_INFINITY : Math.abs(r.volts - limit.at.output));
  const enough = MOVES * Math.abs(limit.at.output - context.curve.rest.output);
  const found = reliefs.filter((r) => r !== null);
  // The missing current is the first thing to try; a supply speaks only where it moved more than nothing.
  return found.find((r) => moved(r) > enough) ?? found[0] ?? null;
}

function relieved(change: string, again: { volts: number | null } | null): Relief | null {
  return again && { change, volts: again.volts };
}

/** What is lacking a quarter of the room's drive beyond the limit: at the limit itself what is asked is just what there is. */
function shortageBeyond(context: LimitContext, limit: Limit, k: number): Demand | null {
  const { sweep, stage, curve } = context;
  const beyond = limit.at.drive + BEYOND * (limit.at.drive - curve.rest.drive);
  const asked = driveAsked(context, limit);
  const drive = limit.direction * (asked - beyond) > 0 ? asked : beyond;
  const demand = demandOf(sweep, k, limit.before, drive, limit.at, stage.temperatures, stage.sheet.ambient);
  return demand && demand.shortage !== 0 ? demand : null;
}

/** The limit of a changed circuit in one direction of the drive: volts, or null where it has none; null result: no solution. */
function limitAgain(context: LimitContext, network: Sweep['transfer']['network'], direction: 1 | -1): { volts: number | null } | null {
  const { sweep, stage, curve, reach } = context;
  const changed = openChanged(sweep.transfer, network, stage.temperatures, stage.sheet.ambient);
  const rest = changedAt(changed, curve.rest.drive, curve.rest);
  return rest && limitFrom(changed, rest, reach, direction);
}

/** The limit of the whole stage with one supply raised: at rest again first, so that its bias moves too. */
function limitWithSupply(context: LimitContext, node: string, volts: number, direction: 1 | -1): { volts: number | null } | null {
  const { stage, sweep, reach } = context;
  const supplies = stage.sheet.supplies.map((s) => (s.node === node ? { ...s, volts: s.volts + volts } : s));
  try {
    const raised = openStage({ ...stage.sheet, supplies }, { isothermal: stage.paths.warm.length === 0 });
    const transfer = quiescentTransfer(raised, sweep.transfer.held);
    if (!transfer) return null;
    const changed = new Sweep(transfer);
    const rest = changed.at(stage.sheet.drive?.offset ?? 0, transfer.x);
    return rest && limitFrom(changed, rest, reach, direction);
  } catch (e) {
    if (e instanceof NoSolution || e instanceof RunsAway) return null;
    throw e;
  }
}

function limitFrom(sweep: Sweep, rest: SweepPoint, reach: number, direction: 1 | -1): { volts: number | null } {
  const found = findLimits(sweep, traceBoth(sweep, rest, reach));
  const limit = direction > 0 ? found.up : found.down;
  return { volts: limit?.at.output ?? null };
}
