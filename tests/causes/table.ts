/**
 * Stages whose limits an engineer can name on paper: which part, what it did, and at what level. Written before the code
 * that finds causes, which is judged by it. Levels are closed forms (see each row's source), never our engine's.
 */
import { clampAndHeldRows } from './clamps.ts';
import { followerRows } from './followers.ts';
import { gainRows } from './gains.ts';
import { pairAndSharedRows } from './pairs.ts';
import type { CauseRow } from './row.ts';

export type { CauseRow } from './row.ts';
export const CAUSE_TABLE: readonly CauseRow[] = [...followerRows(), ...gainRows(), ...pairAndSharedRows(), ...clampAndHeldRows()];
