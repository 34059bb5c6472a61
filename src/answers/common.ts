/** What every answer begins with, and what several of them say. */

import { connectedLoad } from '../circuit/network.ts';
import type { Sheet } from '../sheet/types.ts';
import { growingPole } from '../solve/stability.ts';
import type { Stage } from '../solve/stage.ts';
import type { Failure, Note } from './notes.ts';
import type { AnswerBase, NoAnswer, Question } from './types.ts';

export const KELVIN = 273.15;

/** The common part of an answer, without words. */
export function base<Q extends Question>(question: Q, sheet: Sheet, notes: Note[]): AnswerBase & { question: Q } {
  return {
    question,
    format: 1,
    title: sheet.title,
    load: sheet.load ?? null,
    notes,
    assumptions: [],
    warnings: [],
    ledger: [],
    sentences: [],
  };
}

export function noAnswer(question: Question, sheet: Sheet, failure: Failure, notes: Note[] = []): NoAnswer {
  return { question, format: 1, title: sheet.title, failure, error: '', tried: [], notes, warnings: [] };
}

/** Notes that hold for any answer that stands on the quiescent point: heat, load, whether it holds, reversed and overstressed capacitors. */
export function quiescentNotes(stage: Stage, isothermal: boolean): Note[] {
  const known = noted.get(stage);
  const notes = known?.isothermal === isothermal ? known.notes : notesAtRest(stage, isothermal);
  noted.set(stage, { isothermal, notes });
  return [...notes];
}

/** What was noted before, by stage: several answers about one stage begin alike. */
const noted = new WeakMap<Stage, { isothermal: boolean; notes: Note[] }>();

function notesAtRest(stage: Stage, isothermal: boolean): Note[] {
  const { sheet, network, paths } = stage;
  const ambient = sheet.ambient - KELVIN;
  const notes: Note[] = [];
  const warm = new Set(paths.warm.map((k) => paths.names[k]));
  const cold = paths.names.filter((name) => !warm.has(name));
  if (isothermal) notes.push({ kind: 'isothermal', ambient });
  else {
    if (warm.size > 0) notes.push({ kind: 'self-heating', parts: [...warm], ambient });
    if (cold.length > 0) notes.push({ kind: 'junctions-at-ambient', parts: cold, ambient });
  }
  if (sheet.output && !connectedLoad(sheet)) notes.push({ kind: 'load-open' });
  const v = (i: number): number => (i < 0 ? 0 : stage.x[i]);
  for (const part of sheet.parts) {
    if (part.kind !== 'capacitor') continue;
    const element = network.capacitors.find((c) => c.part === part.name && !c.ofLoad);
    if (!element) continue;
    const volts = v(element.a) - v(element.b);
    if (part.polarized && volts < REVERSED) notes.push({ kind: 'reversed-capacitor', part: part.name, volts, when: 'rest' });
    if (part.rating !== undefined && Math.abs(volts) > part.rating) {
      notes.push({ kind: 'capacitor-over-rating', part: part.name, volts, rating: part.rating });
    }
  }
  const growing = growingPole(stage.kernel, stage.x);
  if (growing !== null) {
    const frequency = growing.im === 0 ? null : Math.abs(growing.im) / (2 * Math.PI);
    notes.push({ kind: 'right-half-plane-pole', frequency, timeConstant: 1 / growing.re });
  }
  const highest = Math.max(0, ...stage.network.nodes.slice(0, network.named).map((_, i) => Math.abs(stage.x[i])));
  if (highest > EXTRA_LOW) notes.push({ kind: 'above-extra-low', volts: highest });
  return notes;
}

/** V: a polarised capacitor below this counts as reversed; above it rounding alone may have put it there. */
const REVERSED = -1e-3;
/** V, ripple-free direct voltage: extra-low limit of IEC 61140 in dry conditions (60 V; from memory). */
const EXTRA_LOW = 60;
