/** What the page and its workers say to each other. Every message carries the number of the input that it belongs to. */
import type { Answer, AskOptions, Question } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';

/** Why a question has no answer: the engine's own finding, or a fault of the engine, as a sentence. */
export interface Unanswered {
  question: Question;
  error: string;
  tried: string[];
}
export type Result = Answer | Unanswered;

/** Page to worker: answer these questions, in this order, and forget whatever was asked before. */
export interface Ask {
  kind: 'ask';
  input: number;
  sheet: Sheet;
  questions: Question[];
  /** So many of the first questions are answered in any case: without them a steady drag would never show a frame. */
  firm: number;
  options: Partial<Record<Question, AskOptions>>;
}

/** Worker to page: one question answered, with the processor's time that it took, in ms. */
export interface Answered {
  kind: 'answered';
  input: number;
  question: Question;
  answer: Result;
  milliseconds: number;
}

/** Worker to page: every question of this input is answered, or the input was given up for a newer one. */
export interface Finished {
  kind: 'finished';
  input: number;
  complete: boolean;
}

export type ToWorker = Ask;
export type FromWorker = Answered | Finished;

/** The end of a channel that a session speaks through; a `Worker` is one. */
export interface Port {
  postMessage(message: ToWorker): void;
  onMessage(listener: (message: FromWorker) => void): void;
  /** Ends the work under way by force and begins afresh: a single answer cannot be interrupted otherwise. */
  restart(): void;
}

/** True where the answer leaves out what takes longer, because the hand had not come to rest. */
export function isBrief(answer: Result): boolean {
  return !isUnanswered(answer) && answer.brief === true;
}

/** True where the answer says that there is none. */
export function isUnanswered(answer: Result): answer is Unanswered {
  return 'error' in answer;
}
