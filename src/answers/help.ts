/**
 * What would help against a limit, in one change of values: found by asking the whole changed circuit again, so that the
 * figure is the one that a fresh question gives. Proportion only says where to begin.
 */
import type { Cause } from '../explain/types.ts';
import type { Sheet } from '../sheet/types.ts';
import { emfPeak } from '../solve/generator.ts';
import { RunsAway } from '../solve/heat.ts';
import type { Limit } from '../solve/limits.ts';
import { NoSolution, openStage, type Stage } from '../solve/stage.ts';
import { type Ladder, ladderFor, withChange } from './help-changes.ts';
import { overRatedAtRest } from './ratings.ts';
import { type StaticLimits, staticLimits } from './static-limits.ts';
import type { Side } from './told.ts';
import type { Help, HelpChange } from './types.ts';

/** Changed circuits that are asked at most. */
const TRIES = 8;
/** Help counts where it widens the room by this share. */
const WORTH = 0.05;

interface Tried {
  changes: HelpChange[];
  /** Output at the flat, or at the limit where there is no flat, V, and its distance from rest. */
  output: number;
  room: number;
  figure: Help['figure'];
}

/**
 * The change that takes the limit on one side out to what the sheet's target or the present drive asks for; where none
 * of those tried gets there, the one that goes furthest. Null where nothing more is asked for, or nothing helps.
 * @param found the limits of the unchanged stage
 */
export function helpFor(stage: Stage, isothermal: boolean, side: Side, cause: Cause, found: StaticLimits): Help | null {
  const limit = found[side];
  if (!limit) return null;
  const now = roomOf(found, limit);
  const goals = goalsOf(stage.sheet, found).filter((goal) => goal > now.room);
  const ladder = goals.length > 0 ? ladderFor(stage.sheet, cause, limit.at.output) : null;
  if (!ladder || ladder.steps.length === 0) return null;
  const [goal] = goals;
  const asked = askChanged(stage, isothermal, side, found, goal);
  const tried = climb(ladder, { factor: goal / now.room, volts: goal - now.room }, goal, asked);
  // The least change that serves the larger wish, else the smaller one, else the one that goes furthest.
  const enough = goals.map((g) => tried.find((t) => t.room >= g)).find((t) => t !== undefined);
  const best = enough ?? tried.reduce<Tried | null>((far, t) => (far === null || t.room > far.room ? t : far), null);
  if (!best || best.room < now.room * (1 + WORTH)) return null;
  return {
    verbs: best.changes,
    figure: best.figure,
    before: best.figure === 'flat' ? now.output : limit.at.output,
    after: best.output,
    enough: best.room >= goal,
    sentence: '',
  };
}

function roomOf(found: StaticLimits, limit: Limit): { output: number; room: number } {
  const { output } = limit.flat ?? limit.at;
  return { output, room: Math.abs(output - found.rest.output) };
}

/** Rooms that are asked for, V, the largest first: half the target's peak to peak, and what the present drive calls for. */
function goalsOf(sheet: Sheet, { limits }: StaticLimits): number[] {
  const target = sheet.targets.outputPeakToPeak?.atLeast;
  const peak = emfPeak(sheet);
  return [
    ...(target === undefined ? [] : [target / 2]),
    // In a dead zone the slope at rest says nothing about what the drive calls for.
    ...(peak === null || limits.nil ? [] : [peak * Math.abs(limits.reference)]),
  ].sort((a, b) => b - a);
}

type Asked = (changes: HelpChange[]) => Tried | null;

/**
 * Opens the changed circuit and measures it; null where it has no such limit, the other side pays for this one, or a part
 * that was within its ratings at rest no longer is.
 */
function askChanged(stage: Stage, isothermal: boolean, side: Side, before: StaticLimits, goal: number): Asked {
  const other: Side = side === 'high' ? 'low' : 'high';
  const spared = before[other] ? Math.min(goal, roomOf(before, before[other]).room) * (1 - WORTH) : 0;
  const hurt = overRatedAtRest(stage);
  return (changes) => {
    const sheet = changes.reduce(withChange, stage.sheet);
    const changed = opened(sheet, isothermal);
    if (!changed || [...overRatedAtRest(changed)].some((part) => !hurt.has(part))) return null;
    const found = staticLimits(changed);
    const limit = found?.[side];
    if (!found || !limit || found.limits.nil !== before.limits.nil) return null;
    const opposite = found[other];
    if (opposite && roomOf(found, opposite).room < spared) return null;
    const figure = limit.flat && before[side]?.flat ? 'flat' : 'limit';
    const { output } = figure === 'flat' && limit.flat ? limit.flat : limit.at;
    return { changes, output, room: Math.abs(output - found.rest.output), figure };
  };
}

function opened(sheet: Sheet, isothermal: boolean): Stage | null {
  try {
    return openStage(sheet, { isothermal });
  } catch (e) {
    if (e instanceof NoSolution || e instanceof RunsAway) return null;
    throw e;
  }
}

/** Tries steps from where proportion points: outwards until one serves, else back while the lesser change still does. */
function climb(ladder: Ladder, need: { factor: number; volts: number }, goal: number, asked: Asked): Tried[] {
  const tried: (Tried & { step: number })[] = [];
  let step = ladder.startAt(need);
  let way = 0;
  for (let k = 0; k < TRIES && step >= 0 && step < ladder.steps.length; k++) {
    const here = asked(ladder.steps[step]);
    if (here) tried.push({ ...here, step });
    const serves = here !== null && here.room >= goal;
    // What is refused, a rating passed say, is too much: the way is back.
    if (here === null && way > 0) break;
    if (way === 0) way = here === null || serves ? -1 : 1;
    else if (here !== null && serves === way > 0) break;
    step += way;
  }
  return tried.sort((a, b) => a.step - b.step);
}
