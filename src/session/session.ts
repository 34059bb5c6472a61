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
  options: Partial<Record<Question, AskOptions>>;
  /** Answered once no newer input has come for a while, by the third worker, in place of what came before; given up when one comes. */
  later: Question[];
  laterOptions: Partial<Record<Question, AskOptions>>;
}

export interface SessionParts {
  quick: Port;
  patient: Port;
  /** For what takes longer, so that it never stands in the way of the others. */
  leisure: Port;
  show(frame: Frame): void;
  /** Calls back once after so many ms; returns what calls it off. */
  after(milliseconds: number, callback: () => void): () => void;
}

/** The hand has come to rest when no input has come for so long, ms. */
const AT_REST = 200;

/** Longer than this without a result, and the new input is shown beside the last answers, dimmed. */
const PATIENCE = 100;

/** An input that takes longer than this gives way by force as soon as a newer one waits, ms. */
const LONGEST = 2500;

export interface Session {
  /** Asks for a sheet; anything asked before that is not under way is forgotten. Returns the input's number. */
  want(wanted: Wanted): number;
}

export function createSession(parts: SessionParts): Session {
  let counter = 0;
  let shown: Frame | null = null;
  /** The input that both workers are at, and the newest that came meanwhile. They keep step, or no frame would ever be whole. */
  let underWay: number | null = null;
  let waiting: number | null = null;
  const inputs = new Map<number, Wanted>();
  const arrived = new Map<number, Map<Question, { answer: Result; milliseconds: number }>>();
  let callOff: (() => void) | null = null;
  let overdue = false;
  let callOffLimit: (() => void) | null = null;
  let callOffLater: (() => void) | null = null;
  let atLeisure = false;
  parts.leisure.onMessage((message) => {
    if (message.kind === 'finished') atLeisure = false;
    receive(message);
  });
  parts.quick.onMessage(receive);
  parts.patient.onMessage(receive);

  const first = (wanted: Wanted): Question[] => [...wanted.now, ...wanted.beside];

  function dispatch(input: number, wanted: Wanted): void {
    underWay = input;
    const ask = (questions: Question[], firm: number): Ask => ({
      kind: 'ask',
      input,
      sheet: wanted.sheet,
      questions,
      firm,
      options: wanted.options,
    });
    if (wanted.now.length > 0) parts.quick.postMessage(ask(wanted.now, wanted.now.length));
    if (wanted.beside.length > 0) parts.patient.postMessage(ask(wanted.beside, wanted.beside.length));
    if (first(wanted).length === 0) finish(input, wanted);
    else {
      waitNoLonger();
      limit();
    }
  }

  function receive(message: FromWorker): void {
    if (message.kind !== 'answered') return;
    const wanted = inputs.get(message.input);
    if (wanted === undefined) return; // of an input older than the one shown
    const answers = arrived.get(message.input) ?? new Map();
    answers.set(message.question, { answer: message.answer, milliseconds: message.milliseconds });
    arrived.set(message.input, answers);
    if (message.input !== underWay) {
      // A heavier answer, after its frame was shown.
      if (shown?.input === message.input) present(message.input, wanted);
    } else if (first(wanted).every((question) => answers.has(question))) finish(message.input, wanted);
    else if (shown?.input === message.input) present(message.input, wanted);
  }

  /** Everything in view is answered: the frame is shown, and the newest waiting input takes its turn. */
  function finish(input: number, wanted: Wanted): void {
    callOff?.();
    callOff = null;
    callOffLimit?.();
    callOffLimit = null;
    overdue = false;
    underWay = null;
    present(input, wanted);
    if (waiting === null && wanted.later.length > 0) callOffLater = parts.after(AT_REST, () => askAtLeisure(input, wanted));
    takeNext();
  }

  function askAtLeisure(input: number, { sheet, later, laterOptions }: Wanted): void {
    callOffLater = null;
    atLeisure = true;
    parts.leisure.postMessage({ kind: 'ask', input, sheet, questions: later, firm: 0, options: laterOptions });
  }

  /** A hand that moves again needs the processor for itself. */
  function leaveOff(): void {
    callOffLater?.();
    callOffLater = null;
    if (atLeisure) parts.leisure.restart();
    atLeisure = false;
  }

  function takeNext(): void {
    const next = waiting;
    waiting = null;
    const newest = next === null ? undefined : inputs.get(next);
    if (next !== null && newest !== undefined) dispatch(next, newest);
  }

  /** Shows an input with what has arrived for it; whatever has not stays, marked stale. */
  function present(input: number, wanted: Wanted): void {
    const asked = [...first(wanted), ...wanted.later];
    const answers: Frame['answers'] = { ...shown?.answers };
    const stale = new Set<Question>(asked);
    let milliseconds = 0;
    for (const [question, result] of arrived.get(input) ?? []) {
      answers[question] = result.answer;
      stale.delete(question);
      milliseconds += result.milliseconds;
    }
    for (const question of Object.keys(answers) as Question[]) if (!asked.includes(question)) delete answers[question];
    for (const older of [...inputs.keys()]) {
      if (older >= input) continue;
      inputs.delete(older);
      arrived.delete(older);
    }
    shown = { input, sheet: wanted.sheet, answers, stale, milliseconds };
    parts.show(shown);
  }

  function limit(): void {
    callOffLimit = parts.after(LONGEST, () => {
      callOffLimit = null;
      overdue = true;
      if (waiting !== null) giveUp();
    });
  }

  /** A newer input does not wait for an answer that takes seconds. */
  function giveUp(): void {
    callOff?.();
    callOff = null;
    overdue = false;
    underWay = null;
    parts.quick.restart();
    parts.patient.restart();
    takeNext();
  }

  /** After a while without a result, the input under way is shown as it is, with the last answers dimmed. */
  function waitNoLonger(): void {
    callOff ??= parts.after(PATIENCE, () => {
      callOff = null;
      const wanted = underWay === null ? undefined : inputs.get(underWay);
      if (underWay !== null && wanted !== undefined && shown?.input !== underWay) present(underWay, wanted);
    });
  }

  return {
    want(wanted) {
      leaveOff();
      counter += 1;
      inputs.set(counter, wanted);
      if (underWay === null) dispatch(counter, wanted);
      else {
        if (waiting !== null) inputs.delete(waiting);
        waiting = counter;
        if (overdue) giveUp();
      }
      return counter;
    },
  };
}
