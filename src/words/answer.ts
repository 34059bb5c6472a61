/** A question asked and answered in words: what the command line, the page's worker and the library call. */
import { ask } from '../answers/ask.ts';
import type { Answer, AskOptions, NoAnswer, Question } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import { speak } from './speak.ts';

/**
 * The answer to `question` about a sound sheet, with its sentences; where the stage has none, an object whose `error`
 * says why. Options are SI.
 *
 * @example
 * ```ts
 * import { answer, readSheet } from 'footroom';
 * const { sheet, problems } = readSheet(text);
 * if (sheet !== null) console.log(answer('quiescent', sheet).sentences);
 * ```
 */
export function answer(question: Question, sheet: Sheet, options: AskOptions = {}): Answer | NoAnswer {
  return speak(ask(question, sheet, options), sheet);
}
