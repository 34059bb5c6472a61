/**
 * The page's side of the engine: numbers the inputs, keeps at most one of them under way (the newest waiting one
 * replaces any other), and hands out frames in which everything belongs to one input.
 */
import type { AskOptions, Question } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import type { Ask, FromWorker, Port, Result } from './protocol.ts';

/** What the page shows at one time. */
export interface Frame {
  /** Number of the input that `sheet` and every answer outside `stale` belong to. */
  input: number;
  sheet: Sheet;
  answers: Partial<Record<Question, Result>>;
  /** Questions whose answer still belongs to an earlier input: shown dimmed, with words that say so. */
  stale: ReadonlySet<Question>;
  /** Processor time of the answers of this input, ms. */
  milliseconds: number;
}

export interface Wanted {
  sheet: Sheet;
  /** Answered before the frame is shown, by the first worker and, at the same time, by the second. */
  now: Question[];
  beside: Question[];
  /** Answered after it, by the second worker; given up when a newer input comes. */
  later: Question[];
  options: Partial<Record<Question, AskOptions>>;
}

export interface SessionParts {
  quick: Port;
  /** Does the heavier answers too, so that they never stand in the way of the first. */
  patient: Port;
  show(frame: Frame): void;
  /** Calls back once after so many ms; returns what calls it off. */
  after(milliseconds: number, callback: () => void): () => void;
}

/** Longer than this without a result, and the new input is shown beside the last answers, dimmed. */
const PATIENCE = 100;

export interface Session {
  /** Asks for a sheet; anything asked before that is not under way is forgotten. Returns the input's number. */
  want(wanted: Wanted): number;
}

export function createSession(parts: SessionParts): Session {
  let counter = 0;
  let shown: Frame | null = null;
  /** Answers of inputs not yet shown. */
  const arrived = new Map<number, Map<Question, { answer: Result; milliseconds: number }>>();
  const inputs = new Map<number, Wanted>();
  const quick = lane(parts.quick, receive);
  const patient = lane(parts.patient, receive);
  const first = (wanted: Wanted): Question[] => [...wanted.now, ...wanted.beside];
  let callOff: (() => void) | null = null;

  function receive(message: FromWorker): void {
    if (message.kind !== 'answered') return;
    const wanted = inputs.get(message.input);
    if (wanted === undefined) return; // of an input older than the one shown
    const answers = arrived.get(message.input) ?? new Map();
    answers.set(message.question, { answer: message.answer, milliseconds: message.milliseconds });
    arrived.set(message.input, answers);
    if (shown !== null && shown.input === message.input) present(message.input, wanted);
    else if (first(wanted).every((question) => answers.has(question))) present(message.input, wanted);
  }

  /** Shows an input with what has arrived for it; whatever has not stays, marked stale. */
  function present(input: number, wanted: Wanted): void {
    const answers: Frame['answers'] = { ...shown?.answers };
    const stale = new Set<Question>([...first(wanted), ...wanted.later]);
    let milliseconds = 0;
    for (const [question, result] of arrived.get(input) ?? []) {
      answers[question] = result.answer;
      stale.delete(question);
      milliseconds += result.milliseconds;
    }
    for (const question of Object.keys(answers) as Question[]) {
      if (!first(wanted).includes(question) && !wanted.later.includes(question)) delete answers[question];
    }
    for (const older of [...inputs.keys()]) {
      if (older < input) {
        inputs.delete(older);
        arrived.delete(older);
      }
    }
    shown = { input, sheet: wanted.sheet, answers, stale, milliseconds };
    if (first(wanted).every((question) => !stale.has(question))) {
      callOff?.();
      callOff = null;
      if (input < counter) waitNoLonger();
    }
    parts.show(shown);
  }

  /** After a while without a result, the newest input is shown as it is, with the last answers dimmed. */
  function waitNoLonger(): void {
    callOff ??= parts.after(PATIENCE, () => {
      callOff = null;
      const newest = inputs.get(counter);
      if (newest !== undefined && shown?.input !== counter) present(counter, newest);
    });
  }

  return {
    want(wanted) {
      counter += 1;
      const input = counter;
      inputs.set(input, wanted);
      quick.send({ kind: 'ask', input, sheet: wanted.sheet, questions: wanted.now, firm: wanted.now.length, options: wanted.options });
      patient.send({
        kind: 'ask',
        input,
        sheet: wanted.sheet,
        questions: [...wanted.beside, ...wanted.later],
        firm: wanted.beside.length,
        options: wanted.options,
      });
      if (first(wanted).length === 0) present(input, wanted);
      waitNoLonger();
      return input;
    },
  };
}

/** One worker: a single request under way, a single one waiting. */
function lane(port: Port, receive: (message: FromWorker) => void): { send(ask: Ask): void } {
  let busy = false;
  let waiting: Ask | null = null;
  const start = (ask: Ask): void => {
    if (ask.questions.length === 0) return;
    busy = true;
    port.postMessage(ask);
  };
  port.onMessage((message) => {
    receive(message);
    if (message.kind !== 'finished') return;
    busy = false;
    const next = waiting;
    waiting = null;
    if (next !== null) start(next);
  });
  return {
    send(ask) {
      if (!busy) return start(ask);
      waiting = ask;
      // What is under way is given up at its next question; its `finished` starts the waiting one.
      port.postMessage({ kind: 'cancel', input: ask.input - 1 });
    },
  };
}
