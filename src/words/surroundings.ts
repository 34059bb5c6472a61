/** What a sentence needs to know beside the answer: how the sheet calls the output, the load and the drive. */
import type { Answer } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import { agree } from './grammar.ts';

export interface Surroundings {
  /** The output node's name, or "the output" where the sheet is not at hand. */
  output: string;
  /** The connected load's name; null when the output is open. */
  load: string | null;
  /** The drive's node, where there is one. */
  drive: string | null;
  /** The sheet, for its targets and for what joins what. */
  sheet: Sheet | null;
}

export function surroundingsOf(answer: Pick<Answer, 'load'>, sheet?: Sheet): Surroundings {
  const listed = sheet?.loads.find((load) => load.name === answer.load);
  return {
    output: sheet?.output ?? 'the output',
    load: listed?.open ? null : answer.load,
    drive: sheet?.drive?.node ?? null,
    sheet: sheet ?? null,
  };
}

/** The load as the subject of a sentence: "the phones", or "the load" where it has no name. */
export function theLoad(surroundings: Surroundings): string {
  return surroundings.load === null ? 'the load' : `the ${surroundings.load}`;
}

/** "the phones return", "the line returns". */
export function loadVerb(surroundings: Surroundings, verb: string): string {
  return `${theLoad(surroundings)} ${agree(surroundings.load ?? 'load', verb)}`;
}
