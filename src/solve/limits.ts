/** Limits, flats and conducting ranges of a static transfer (`physics.md`, Swing): conditions on the slope of one curve. */
import type { Sweep, SweepPoint } from './sweep.ts';

/** Slope at a limit, at a flat, and at the point from which a cause is judged, as shares of the reference slope. */
const LIMIT = 0.5;
const FLAT = 1 / 50;
const UNHURT = 0.9;
/** A quiescent slope below this share of the largest is nil: the stage rests in a dead zone. */
const NIL = 1 / 100;

export interface Limit {
  /** Which way the drive goes. */
  direction: 1 | -1;
  /** L: where the slope has fallen to half. */
  at: SweepPoint;
  flat: SweepPoint | null;
  /** A: the last point before L at which the slope is at least 0.9 of the reference. */
  before: SweepPoint;
  /** The curve folds at L instead of bending. */
  jumps: boolean;
}

export interface TransferCurve {
  rest: SweepPoint;
  /** Outwards from rest, rest excluded. */
  up: SweepPoint[];
  down: SweepPoint[];
  foldedUp: boolean;
  foldedDown: boolean;
}

export interface Limits {
  /** Slope that stands for the quiescent one: its own, or the largest where it is nil. */
  reference: number;
  nil: boolean;
  up: Limit | null;
  down: Limit | null;
  /** Where the slope exceeds half the largest, in rising order of the drive; only where the quiescent slope is nil. */
  conducts: { from: SweepPoint; to: SweepPoint }[] | null;
}

/** Traces the transfer from its rest both ways over `reach` volts of drive. */
export function traceBoth(sweep: Sweep, rest: SweepPoint, reach: number): TransferCurve {
  const up = sweep.trace(rest, rest.drive + reach);
  const down = sweep.trace(rest, rest.drive - reach);
  return { rest, up: up.points, down: down.points, foldedUp: up.folded, foldedDown: down.folded };
}

export function findLimits(sweep: Sweep, curve: TransferCurve): Limits {
  const all = [curve.rest, ...curve.up, ...curve.down];
  const steepest = all.reduce((a, b) => (Math.abs(b.slope) > Math.abs(a.slope) ? b : a));
  const nil = Math.abs(curve.rest.slope) < NIL * Math.abs(steepest.slope);
  const reference = nil ? steepest.slope : curve.rest.slope;
  if (!(Math.abs(reference) > 0)) return { reference, nil, up: null, down: null, conducts: null };
  const over = (share: number) => (p: SweepPoint) => p.slope / reference - share;
  if (!nil) {
    return {
      reference,
      nil,
      up: firstFall(sweep, [curve.rest, ...curve.up], 1, over, curve.foldedUp),
      down: firstFall(sweep, [curve.rest, ...curve.down], -1, over, curve.foldedDown),
      conducts: null,
    };
  }
  const conducts = [
    ...rangesOver(sweep, [curve.rest, ...curve.down], over(LIMIT))
      .reverse()
      .map(({ near, far }) => ({ from: far, to: near })),
    ...rangesOver(sweep, [curve.rest, ...curve.up], over(LIMIT)).map(({ near, far }) => ({ from: near, to: far })),
  ];
  return {
    reference,
    nil,
    up: outermost(sweep, [curve.rest, ...curve.up], 1, over),
    down: outermost(sweep, [curve.rest, ...curve.down], -1, over),
    conducts,
  };
}

type Over = (share: number) => (p: SweepPoint) => number;

/** The first fall to half the reference, walking outwards. */
function firstFall(sweep: Sweep, path: SweepPoint[], direction: 1 | -1, over: Over, folded: boolean): Limit | null {
  const half = over(LIMIT);
  const k = path.findIndex((p) => half(p) <= 0);
  if (k < 0) {
    if (!folded || path.length < 2) return null;
    const last = path[path.length - 1];
    return { direction, at: last, flat: null, before: lastUnhurt(sweep, path, path.length - 1, over), jumps: true };
  }
  if (k === 0) return null;
  return limitBetween(sweep, path, k, direction, over);
}

function limitBetween(sweep: Sweep, path: SweepPoint[], k: number, direction: 1 | -1, over: Over): Limit {
  const at = sweep.root(path[k - 1], path[k], over(LIMIT));
  const flatOver = over(FLAT);
  const f = path.findIndex((p, i) => i >= k && flatOver(p) <= 0);
  const flat = f < 0 ? null : sweep.root(f === k ? at : path[f - 1], path[f], flatOver);
  return { direction, at, flat, before: lastUnhurt(sweep, path, k, over), jumps: false };
}

/** A, for a limit between path[k - 1] and path[k]. */
function lastUnhurt(sweep: Sweep, path: SweepPoint[], k: number, over: Over): SweepPoint {
  const unhurt = over(UNHURT);
  for (let i = Math.min(k, path.length - 1); i >= 0; i--) {
    if (unhurt(path[i]) < 0) continue;
    return i + 1 < path.length && unhurt(path[i + 1]) < 0 ? sweep.root(path[i], path[i + 1], unhurt) : path[i];
  }
  return path[0];
}

/** Ranges of a path on which `over` is positive, with their ends found exactly. */
function rangesOver(sweep: Sweep, path: SweepPoint[], over: (p: SweepPoint) => number): { near: SweepPoint; far: SweepPoint }[] {
  const ranges: { near: SweepPoint; far: SweepPoint }[] = [];
  let near: SweepPoint | null = over(path[0]) > 0 ? path[0] : null;
  for (let i = 1; i < path.length; i++) {
    const inside = over(path[i]) > 0;
    if (inside && !near) near = sweep.root(path[i - 1], path[i], over);
    if (!inside && near) {
      ranges.push({ near, far: sweep.root(path[i - 1], path[i], over) });
      near = null;
    }
  }
  if (near) ranges.push({ near, far: path[path.length - 1] });
  return ranges;
}

/** The outermost end of conduction on one side of a nil rest, as a limit. */
function outermost(sweep: Sweep, path: SweepPoint[], direction: 1 | -1, over: Over): Limit | null {
  const half = over(LIMIT);
  let k = -1;
  for (let i = 1; i < path.length; i++) if (half(path[i - 1]) > 0 && half(path[i]) <= 0) k = i;
  return k < 0 ? null : limitBetween(sweep, path, k, direction, over);
}
