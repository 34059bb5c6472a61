/** Gives an answer its words. Answers come with figures, causes and notes; here every sentence of theirs is written. */
import type { Failure, Note } from '../answers/notes.ts';
import { sideOf } from '../answers/told.ts';
import type { Answer, Cause, Help, NoAnswer, SwingLimit } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import { type CauseContext, causeSentence, evidenceSentence, type Side } from './causes.ts';
import { helpSentence } from './help.ts';
import { impedanceSentences } from './impedance.ts';
import { spokenLedger } from './ledger.ts';
import { failureWords, spokenNotes } from './messages.ts';
import { quiescentSentences, spokenRoles } from './quiescent.ts';
import { type Surroundings, surroundingsOf } from './surroundings.ts';
import { swingSentences } from './swing.ts';
import { waveformSentences } from './waveform.ts';

/** A cause's sentence with its evidence: what happened and why, then how it is known. */
function spoken(cause: Cause, context: CauseContext): Cause {
  const evidence = evidenceSentence(cause, context);
  const said = causeSentence(cause, context);
  return { ...cause, sentence: evidence === null ? said : `${said} ${evidence}` };
}

function spokenLimit(limit: SwingLimit | null, side: Side, surroundings: Surroundings): SwingLimit | null {
  return limit === null ? null : { ...limit, cause: spoken(limit.cause, { ...surroundings, side }), ...spokenHelp(limit) };
}

function spokenHelp({ help }: { help?: Help | null }): { help?: Help | null } {
  return help ? { help: { ...help, sentence: helpSentence(help) } } : {};
}

/**
 * The answer with its sentences, every cause's sentence, and its notes as assumptions and warnings. The figures are
 * untouched, and every figure in a sentence is one of the answer's or the sheet's. Speaking twice changes nothing.
 * @param sheet the sheet asked, for the names of output, load and targets; without it sentences say "the output"
 */
export function speak(answer: Answer, sheet?: Sheet): Answer;
export function speak(answer: Answer | NoAnswer, sheet?: Sheet): Answer | NoAnswer;
export function speak(answer: Answer | NoAnswer, sheet?: Sheet): Answer | NoAnswer {
  const notes = spokenNotes(answer.notes);
  if ('failure' in answer) return { ...answer, ...failureWords(answer.failure), warnings: notes.warnings };
  const told = { ...answer, ledger: spokenLedger(answer.ledger) };
  return { ...spokenParts(told, surroundingsOf(told, sheet), told.notes), ...notes };
}

/** The words of a failure, with the question and title they belong to. */
export function speakFailure(
  failure: Failure,
  about: Pick<NoAnswer, 'question' | 'title'>,
): Pick<NoAnswer, 'question' | 'format' | 'title' | 'error' | 'tried'> {
  return { question: about.question, format: 1, title: about.title, ...failureWords(failure) };
}

function spokenParts(answer: Answer, surroundings: Surroundings, notes: readonly Note[]): Answer {
  switch (answer.question) {
    case 'quiescent':
      return { ...answer, sentences: quiescentSentences(answer, surroundings), parts: spokenRoles(answer, surroundings.sheet) };
    case 'swing':
      return {
        ...answer,
        sentences: swingSentences(answer, surroundings),
        high: spokenLimit(answer.high, 'high', surroundings),
        low: spokenLimit(answer.low, 'low', surroundings),
      };
    case 'impedance':
      return { ...answer, sentences: impedanceSentences(answer, surroundings, notes) };
    case 'waveform': {
      const withCause = <S extends { from: number; to: number; cause: Cause | null }>(stretch: S): S =>
        stretch.cause === null
          ? stretch
          : { ...stretch, cause: spoken(stretch.cause, { ...surroundings, side: sideOf(stretch, answer, surroundings.output) }) };
      return {
        ...answer,
        sentences: waveformSentences(answer, surroundings),
        stretches: answer.stretches.map(withCause),
        turnedOn: answer.turnedOn.map(withCause),
        ...spokenHelp(answer),
      };
    }
  }
}
