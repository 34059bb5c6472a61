/** Causes as data: what the answers carry and the words layer tells. */

export type CauseEvent =
  | 'cuts-off'
  | 'saturates'
  | 'breaks-down'
  | 'reverses'
  | 'turns-on'
  | 'fades'
  | 'jumps'
  | 'holds'
  | 'both-off'
  | 'clipped-upstream';

export interface Evidence {
  /** The one change to the circuit. */
  change: 'lifted' | 'joined' | 'without-breakdown' | 'held';
  part: string;
  /** Output of the changed circuit at the limit's drive (or the stretch's middle), V; null where it has no solution. */
  volts: number | null;
  /** Where the part first reaches the state: drive, output there, output of the changed circuit there. */
  rest: { drive: number; output: number; changed: number } | null;
  /** The limit with the shortage relieved; volts null: the limit is gone. */
  relief: { change: string; volts: number | null } | null;
}

export interface Cause {
  /** Null where no device is to blame. */
  part: string | null;
  /** A second one that shares the blame. */
  second?: string;
  event: CauseEvent;
  proven: boolean;
  /** What is missing to a proof, where it is likely only. */
  missing?: 'shared' | 'no-state' | 'disagrees' | 'no-relief';
  /** Share of the fall in slope by designator; those of 0.01 and more. */
  shares: Record<string, number>;
  /**
   * Who would have to carry the current that is asked (and by whom), A, and what it can carry at most; whether it must be
   * taken out of the node or given to it, where the node tells.
   */
  demand: { part: string; amperes: number; capacity: number; by: string; direction?: 'take' | 'give' } | null;
  evidence: Evidence | null;
  /** Written by the words layer. */
  sentence: string;
  /** Level at which a stretch stands, V. */
  level?: number;
  /** A held level that sinks: time constant (s), predicted and observed change over the stretch, V. */
  droop?: { timeConstant: number; predicted: number; observed: number };
}
