/**
 * The worker's side: takes the latest input, answers its questions one after another, and looks between two of them
 * whether a newer input has come, for which the rest is given up. A single answer is never interrupted.
 */
import type { AskOptions, Question } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import type { Ask, FromWorker, Result, ToWorker } from './protocol.ts';

export interface SchedulerParts {
  /** The engine. May throw; what it throws becomes an answer that says so. */
  answer(question: Question, sheet: Sheet, options: AskOptions): Result;
  post(message: FromWorker): void;
  /** Resolves after the messages that wait have been delivered. */
  breathe(): Promise<void>;
  /** Milliseconds of any epoch. */
  now(): number;
}

/** @returns the listener for the page's messages. */
export function createScheduler(parts: SchedulerParts): (message: ToWorker) => void {
  let latest: Ask | null = null;
  let working = false;

  async function work(): Promise<void> {
    working = true;
    while (latest !== null) {
      const ask: Ask = latest;
      let complete = true;
      for (const [index, question] of ask.questions.entries()) {
        if (latest !== ask && index >= ask.firm) {
          complete = false;
          break;
        }
        const start = parts.now();
        const answer = attempt(parts, question, ask);
        parts.post({ kind: 'answered', input: ask.input, question, answer, milliseconds: parts.now() - start });
        await parts.breathe();
      }
      parts.post({ kind: 'finished', input: ask.input, complete });
      if (latest === ask) latest = null;
    }
    working = false;
  }

  return (message) => {
    latest = message;
    if (!working) void work();
  };
}

/** A fault of the engine must reach the reader as a sentence, and must not end the worker. */
function attempt(parts: SchedulerParts, question: Question, ask: Ask): Result {
  try {
    return parts.answer(question, ask.sheet, ask.options[question] ?? {});
  } catch (fault) {
    const said = fault instanceof Error ? fault.message : String(fault);
    return { question, error: `This question could not be answered: ${said}`, tried: [] };
  }
}
