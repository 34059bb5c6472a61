/**
 * Undo and redo as values: every step holds the document before it, so that undoing gives back the author's bytes,
 * without limit. A history is never changed; each operation gives another.
 */
import { readDocument, type SheetDocument } from './document.ts';
import type { ReadResult } from './read.ts';
import { type Verb, verbName } from './verb.ts';
import { applyVerbs } from './verbs.ts';

export interface HistoryStep {
  /** What was done, for "undo lift R3". */
  name: string;
  /** The document on the other side of the step. */
  document: SheetDocument;
}

export interface History {
  readonly present: SheetDocument;
  /** Steps that can be undone, the last one last. */
  readonly past: readonly HistoryStep[];
  /** Steps that can be redone, the next one last. */
  readonly future: readonly HistoryStep[];
}

export function startHistory(document: SheetDocument): History {
  return { present: document, past: [], future: [] };
}

/**
 * Do verbs as one step. Where they cannot be done the history stays as it was, and the result has the problems.
 */
export function apply(
  history: History,
  verbs: readonly Verb[],
  name = verbs.map(verbName).join(', '),
): { history: History; result: ReadResult } {
  const result = applyVerbs(history.present, verbs);
  if (result.sheet === null || result.document.text === history.present.text) return { history, result };
  return { history: stepTo(history, result.document, name), result };
}

/** Take over an edit of the text as one step, whether or not it can be read yet. */
export function applyText(history: History, text: string, name = 'edit the sheet'): History {
  return text === history.present.text ? history : stepTo(history, readDocument(text), name);
}

function stepTo({ present, past }: History, next: SheetDocument, name: string): History {
  return { present: next, past: [...past, { name, document: present }], future: [] };
}

/** Undo the last step; the same history where there is none. */
export function undo(history: History): History {
  const last = history.past.at(-1);
  if (last === undefined) return history;
  return {
    present: last.document,
    past: history.past.slice(0, -1),
    future: [...history.future, { name: last.name, document: history.present }],
  };
}

/** Redo what was undone last; the same history where there is nothing. */
export function redo(history: History): History {
  const next = history.future.at(-1);
  if (next === undefined) return history;
  return {
    present: next.document,
    past: [...history.past, { name: next.name, document: history.present }],
    future: history.future.slice(0, -1),
  };
}

/** Names of the steps that `undo` and `redo` would take, null where there are none. */
export function nextSteps(history: History): { undo: string | null; redo: string | null } {
  return { undo: history.past.at(-1)?.name ?? null, redo: history.future.at(-1)?.name ?? null };
}
