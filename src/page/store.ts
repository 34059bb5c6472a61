/**
 * What the page holds: the sheet's text with its history, the value under the hand, and the frame that is shown. A
 * sheet is a value and a change is a value; everything on the page is a view of these signals.
 */
import { batch, createEffect, createMemo, createRoot, createSignal, on } from 'solid-js';
import type { Answer, Question, QuiescentAnswer, WaveformAnswer } from '../answers/types.ts';
import { isBrief, isUnanswered, type Result } from '../session/protocol.ts';
import { createSession, type Frame } from '../session/session.ts';
import {
  applyText,
  type History,
  type ReadResult,
  readDocument,
  readSheet,
  readSheetDocument,
  redo,
  startHistory,
  undo,
  withValue,
} from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { ports } from './engine.ts';

/** One step of the history as it is kept: what it was called, and the text before it. */
export interface Step {
  name: string;
  text: string;
}

interface Live {
  path: string;
  value: number;
}

function createStore() {
  const [history, setHistory] = createSignal<History | null>(null);
  const [saved, setSaved] = createSignal('');
  const text = createMemo(() => history()?.present.text ?? null);
  const [live, setLive] = createSignal<Live | null>(null);
  const [frame, setFrame] = createSignal<Frame | null>(null);
  const [sample, setSample] = createSignal<number | null>(null);
  /** Waveform answer before the last verb, faint on the strip until the next change of a value. */
  const [before, setBefore] = createSignal<WaveformAnswer | null>(null);
  /** What the pointer or the focus is on: a part's name, or `node:` and a node's. */
  const [pointed, setPointed] = createSignal<string | null>(null);
  /** Nodes with a waveform pinned beside them; null: output and drive. */
  const [pins, setPins] = createSignal<string[] | null>(null);
  /** Projected: type enlarged, one question at a time; null on the ordinary page. */
  const [projected, setProjected] = createSignal<Question | null>(null);
  /** A sentence for the reader about something that did not work. */
  const [notice, setNotice] = createSignal('');

  const read = createMemo<ReadResult | null>(() => {
    const now = history();
    return now === null ? null : readSheetDocument(now.present);
  });
  /** The last sheet that could be read: a half-typed one leaves it standing. */
  const sound = createMemo<Sheet | null>((last) => (text() === null ? null : (read()?.sheet ?? last)), null);
  const savedSheet = createMemo<Sheet | null>((last) => readSheet(saved()).sheet ?? last, null);
  const current = createMemo<Sheet | null>(() => {
    const sheet = sound();
    const turned = live();
    return sheet === null || turned === null ? sheet : withValue(sheet, turned.path, turned.value);
  });
  const problems = createMemo(() => read()?.problems ?? []);

  let waiting: Frame | null = null;
  let measured = false;
  let onFirst = (): void => undefined;
  const session = createSession({
    ...ports(),
    show(next) {
      // Several answers may come within one frame: they are written together, once.
      if (waiting === null) requestAnimationFrame(flush);
      waiting = next;
    },
    after(milliseconds, callback) {
      const timer = setTimeout(callback, milliseconds);
      return () => clearTimeout(timer);
    },
  });
  function flush(): void {
    const next = waiting;
    waiting = null;
    if (next === null) return;
    const start = performance.now();
    setFrame(next);
    // For whoever measures: which input stands on the page, and what it took.
    const { dataset } = document.documentElement;
    dataset.engine = next.milliseconds.toFixed(2);
    dataset.writing = (performance.now() - start).toFixed(2);
    dataset.shown = String(next.input);
    if (next.stale.size === 0) dataset.answered = String(next.input);
    const inFull = next.stale.size === 0 && Object.values(next.answers).every((answer) => !isBrief(answer));
    if (inFull) dataset.full = String(next.input);
    if (!measured && Object.keys(next.answers).length > 0) {
      measured = true;
      performance.mark('first answer');
      onFirst();
    }
  }

  createEffect(
    on(current, (sheet) => {
      if (sheet === null) {
        setFrame(null);
        return;
      }
      const askable = questionsOf(sheet);
      // Two workers share a frame: the waveform is about as heavy as all the others.
      const now = askable.filter((question) => question === 'waveform');
      const beside = askable.filter((question) => question !== 'waveform');
      // In the order of the page, but what takes longest last.
      const later: Question[] = [
        ...askable.filter((question) => question !== 'swing'),
        ...askable.filter((question) => question === 'swing'),
      ];
      document.documentElement.dataset.wanted = String(session.want({ sheet, now, beside, options: BRIEF, later, laterOptions: {} }));
    }),
  );

  /** What is kept of the past, once it has been read again: undo survives a reload without delaying it. */
  let unread: Step[] = [];
  function readPast(): void {
    const now = history();
    if (now === null || unread.length === 0) return;
    const steps = unread.map(({ name, text: before }) => ({ name, document: readDocument(before) }));
    unread = [];
    setHistory({ ...now, past: [...steps, ...now.past] });
  }

  return {
    text,
    saved,
    history,
    frame,
    sample,
    setSample,
    live,
    read,
    sound,
    savedSheet,
    current,
    problems,
    before,
    setBefore,
    projected,
    setProjected,
    pointed,
    setPointed,
    pins,
    setPins,
    notice,
    setNotice,

    /** Calls back once, when the first answer stands on the page. */
    onFirstAnswer(callback: () => void): void {
      onFirst = callback;
    },
    /** Opens a sheet's text, with what is kept of its history. */
    open(next: string, kept: { saved?: string; past?: Step[] } = {}): void {
      batch(() => {
        setLive(null);
        setSample(null);
        setBefore(null);
        setPins(null);
        setSaved(kept.saved ?? next);
        setHistory(startHistory(readDocument(next)));
      });
      unread = kept.past ?? [];
      if (unread.length > 0) setTimeout(readPast, READ_PAST_AFTER);
    },
    /** Steps as they are kept. */
    pastSteps(): Step[] {
      return [...unread, ...(history()?.past ?? []).map(({ name, document }) => ({ name, text: document.text }))];
    },
    markSaved(): void {
      setSaved(text() ?? '');
    },
    /** While a knob turns: the page follows, the sheet waits. */
    turn(path: string, value: number): void {
      setLive({ path, value });
    },
    restore(): void {
      setLive(null);
    },
    /** One undoable step from a changed text; what was under the hand becomes part of it. */
    commit(name: string, next: string): void {
      const now = history();
      if (now === null) return;
      batch(() => {
        setHistory(applyText(now, next, name));
        setLive(null);
      });
    },
    /** Another text of the same sheet, no step of its history. */
    replace(next: string): void {
      const now = history();
      if (now !== null && now.present.text !== next) setHistory({ ...now, present: readDocument(next) });
    },
    /** Goes back to before a step, counted from the first; every step after it can be redone. */
    backTo(step: number): void {
      readPast();
      let now = history();
      batch(() => {
        setLive(null);
        setBefore(null);
        while (now !== null && now.past.length > step) now = undo(now);
        setHistory(now);
      });
    },
    undo(): void {
      readPast();
      const now = history();
      if (now === null) return;
      batch(() => {
        setLive(null);
        setBefore(null);
        setHistory(undo(now));
      });
    },
    redo(): void {
      const now = history();
      if (now === null) return;
      batch(() => {
        setLive(null);
        setBefore(null);
        setHistory(redo(now));
      });
    },
    /** Typing in the text: keystrokes close together are one step. */
    type(next: string): void {
      const now = history();
      if (now === null || now.present.text === next) return;
      const goesOn = now.past.at(-1)?.name === TYPED && now.future.length === 0 && Date.now() - lastTyped < TYPING_PAUSE;
      setHistory(goesOn ? { ...now, present: readDocument(next) } : applyText(now, next, TYPED));
      lastTyped = Date.now();
    },
  };
}

let lastTyped = 0;
const BRIEF = { quiescent: { brief: true }, swing: { brief: true }, impedance: { brief: true }, waveform: { brief: true } };
const TYPED = 'edit of the text';
/** Keystrokes further apart than this are two steps, ms. */
const TYPING_PAUSE = 1500;
/** After the first answer, ms. */
const READ_PAST_AFTER = 1500;

/** The questions that a sheet can be asked. */
export function questionsOf(sheet: Sheet): Question[] {
  if (sheet.drive === undefined || sheet.output === undefined) return ['quiescent'];
  const asked: Question[] = ['quiescent', 'swing'];
  if (sheet.drive.frequency !== undefined) asked.push('impedance');
  if (sheet.drive.waveform !== 'none' && sheet.drive.frequency !== undefined) asked.push('waveform');
  return asked;
}

/** The answer to a question in a frame, where there is one. */
export function answered<Q extends Question>(frame: Frame | null, question: Q): Extract<Answer, { question: Q }> | undefined {
  const answer: Result | undefined = frame?.answers[question];
  return answer === undefined || isUnanswered(answer) ? undefined : (answer as Extract<Answer, { question: Q }>);
}

export const restOf = (frame: Frame | null): QuiescentAnswer | undefined => answered(frame, 'quiescent');

export const store = createRoot(createStore);
