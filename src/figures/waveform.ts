/** Traces of one period, with every odd stretch hatched, bracketed and explained; beneath, the currents in question. */
import { sideOf } from '../answers/told.ts';
import type { Region, Stretch as StateStretch, WaveformAnswer } from '../answers/types.ts';
import { demandPhrase } from '../words/causes.ts';
import { say, saySize } from '../words/numbers.ts';
import { surroundingsOf } from '../words/surroundings.ts';
import { stateWord, stretchLabel } from '../words/waveform.ts';
import {
  type Axis,
  extent,
  type Line,
  type Mark,
  type Panel,
  type Pattern,
  type Run,
  type Scene,
  type Trace,
  type TraceLook,
  widened,
} from './scene.ts';

export interface WaveformNames {
  /** The output node: gets the dimensions. */
  output?: string;
  /** The drive's node: drawn thin. */
  drive?: string;
}

const PATTERN: Readonly<Record<Exclude<Region, 'active'>, Pattern>> = {
  off: 'off',
  saturated: 'saturated',
  breakdown: 'breakdown',
  reversed: 'breakdown',
};

/** Peak to peak below this is a node that does not take part. */
const STILL = 1e-6;

/** The nodes worth drawing when none are asked for: output and drive, else those that move, the largest first. */
function chosenNodes(answer: WaveformAnswer, names: WaveformNames): string[] {
  const wanted = [names.output, names.drive].filter((node) => node !== undefined && node in answer.nodes);
  if (wanted.length > 0) return [...new Set(wanted as string[])];
  return Object.keys(answer.nodes)
    .filter((node) => (answer.measures[node]?.peakToPeak ?? 0) > STILL)
    .sort((a, b) => answer.measures[b].peakToPeak - answer.measures[a].peakToPeak)
    .slice(0, 3);
}

function lookOf(node: string, k: number, names: WaveformNames): TraceLook {
  if (node === names.output || (names.output === undefined && k === 0)) return 'volt';
  return node === names.drive ? 'generator' : 'second';
}

/** The period that the samples span; null for a run from switch-on, which comes back to nothing. */
function periodOf(answer: WaveformAnswer): number | null {
  return answer.settled ? answer.period : null;
}

/** Samples closed with the first one at the period's end, so that the trace spans the whole period. */
function closed(answer: WaveformAnswer, samples: readonly number[]): { x: number[]; y: number[] } {
  const period = periodOf(answer);
  if (period === null || samples.length === 0) return { x: [...answer.time], y: [...samples] };
  return { x: [...answer.time, answer.time[0] + period], y: [...samples, samples[0]] };
}

/** The pieces of a stretch that lie within the period; what runs over its end comes in again at its start. */
function piecesOf(stretch: StateStretch, period: number | null): [number, number][] {
  if (period === null || stretch.to <= period) return [[stretch.from, stretch.to]];
  return [
    [stretch.from, period],
    [0, stretch.to - period],
  ];
}

/** More stretches of one part and state than this have one bracket between them: a run from switch-on has hundreds. */
const MOST_BRACKETS = 6;

/** Hatched where the output shows it; of several stretches of one part and state, the longest speaks for all. */
function stretchMarks(answer: WaveformAnswer, names: WaveformNames): Mark[] {
  const surroundings = { ...surroundingsOf(answer), output: names.output ?? '' };
  const marks: Mark[] = [];
  const alike = (stretch: StateStretch): StateStretch[] =>
    answer.stretches.filter((s) => s.part === stretch.part && s.state === stretch.state && (s.cause === null) === (stretch.cause === null));
  for (const stretch of answer.stretches) {
    if (stretch.state === 'active') continue;
    const { cause } = stretch;
    const pattern = cause === null ? null : PATTERN[stretch.state];
    const demand = cause === null ? null : demandPhrase(cause, { ...surroundings, side: sideOf(stretch, answer, names.output ?? '') });
    const tone = pattern === null ? 'ink2' : pattern === 'saturated' ? 'ink' : 'lim';
    const label: Run[] = [{ text: demand === null ? stretchLabel(stretch) : `${stretchLabel(stretch)}: `, bold: cause !== null, tone }];
    if (demand !== null) label.push({ text: demand });
    const speaker = longest(alike(stretch).map((s) => ({ from: s.from, to: s.to, stretch: s }))).stretch === stretch;
    const pieces = piecesOf(stretch, periodOf(answer)).map(([from, to]) => ({ from, to }));
    const middle = longest(pieces);
    for (const piece of pieces) {
      marks.push({
        kind: 'stretch',
        ...piece,
        pattern,
        label: speaker && piece === middle ? label : [],
        bracket: speaker || alike(stretch).length <= MOST_BRACKETS,
        part: stretch.part,
      });
    }
  }
  return marks;
}

function longest<T extends { from: number; to: number }>(spans: readonly T[]): T {
  return spans.reduce((a, b) => (b.to - b.from > a.to - a.from ? b : a));
}

/** Less than this part of the whole on one side of zero is not worth a dimension of its own. */
const LEAST_SIDE = 0.02;
/** A half-wave below this share of the whole is the one that is cut. */
const SHORT_SHARE = 0.45;

/** Peaks of the output above and below zero (or below its mean, where zero is out of sight). */
function peakDimensions(answer: WaveformAnswer, node: string): Mark[] {
  const measures = answer.measures[node];
  if (measures === undefined || measures.peakToPeak <= STILL) return [];
  const least = LEAST_SIDE * measures.peakToPeak;
  const crosses = measures.minimum < -least && measures.maximum > least;
  if (!crosses) {
    const whole: Line[] = [[{ text: say(measures.peakToPeak, 'V'), bold: true, tone: 'volt' }], [{ text: 'peak to peak', tone: 'ink2' }]];
    return [{ kind: 'dimension', from: measures.minimum, to: measures.maximum, lines: whole, tone: 'plain', at: 'right' }];
  }
  const flat = answer.stretches.some((s) => s.cause !== null);
  const size = (volts: number): Line[] => [
    [{ text: saySize(volts, 'V'), bold: true, tone: flat && Math.abs(volts) < SHORT_SHARE * measures.peakToPeak ? 'lim' : 'volt' }],
  ];
  return [
    { kind: 'dimension', from: 0, to: measures.maximum, lines: size(measures.maximum), tone: 'plain', at: 'right' },
    { kind: 'dimension', from: measures.minimum, to: 0, lines: size(measures.minimum), tone: 'plain', at: 'right' },
  ];
}

/** The signed current of a part at the samples: a transistor's emitter, a two-terminal part's own. */
function currentOf(answer: WaveformAnswer, part: string): { samples: readonly number[]; what: string } | null {
  const found = answer.currents?.[part];
  if (found === undefined) return null;
  return 'collector' in found ? { samples: found.emitter, what: `${part} emitter` } : { samples: found as readonly number[], what: part };
}

/** The currents of the first cause that has a demand: the part that ran out, and the one that could not take more. */
function currentPanel(answer: WaveformAnswer, x: Axis): Panel | null {
  const stretch = answer.stretches.find((s) => s.cause?.demand);
  const demand = stretch?.cause?.demand;
  if (!stretch || !demand) return null;
  const ran = currentOf(answer, stretch.part);
  const other = currentOf(answer, demand.part);
  if (ran === null || other === null) return null;
  const traces: Trace[] = [
    { kind: 'trace', ...closed(answer, ran.samples), look: 'amp', label: [{ text: ran.what, bold: true }], part: stretch.part },
    { kind: 'trace', ...closed(answer, other.samples), look: 'second', label: [{ text: other.what, bold: true }], part: demand.part },
  ];
  const ends = widened(extent(...traces.map((t) => t.y), [0]) ?? [0, 1], 1e-9);
  const hatches: Mark[] = answer.stretches.flatMap((s) =>
    s.state === 'active' || s.cause === null
      ? []
      : piecesOf(s, periodOf(answer)).map(
          ([from, to]): Mark => ({
            kind: 'stretch',
            from,
            to,
            pattern: PATTERN[s.state as Exclude<Region, 'active'>],
            label: [],
            bracket: false,
            part: s.part,
          }),
        ),
  );
  return {
    x,
    y: { name: 'currents', unit: 'A', from: ends[0], to: ends[1], scale: 'linear' },
    height: 96,
    marks: [...hatches, { kind: 'guide', along: 'x', at: 0, look: 'zero' }, ...traces],
    showX: true,
  };
}

/**
 * The scene of a waveform answer.
 * @param nodes the nodes to draw, default the output's and the drive's
 */
export function waveformScene(answer: WaveformAnswer, nodes?: readonly string[], names: WaveformNames = {}): Scene {
  const shown = nodes ?? chosenNodes(answer, names);
  const span = periodOf(answer) ?? answer.duration ?? answer.time[answer.time.length - 1] ?? 1;
  const traces: Trace[] = shown.map((node, k) => ({
    kind: 'trace',
    ...closed(answer, answer.nodes[node] ?? []),
    look: lookOf(node, k, names),
    label: [{ text: node, node: true }],
  }));
  const ends = widened(extent(...traces.map((t) => t.y)) ?? [0, 1], STILL);
  const x: Axis = {
    unit: 's',
    from: 0,
    to: span,
    scale: 'linear',
    note: answer.settled && answer.period !== null ? `one period of ${say(1 / answer.period, 'Hz')}, settled` : 'from switch-on',
  };
  const dimensioned = names.output !== undefined && shown.includes(names.output) ? names.output : shown[0];
  const marks: Mark[] = [...stretchMarks(answer, names)];
  if (ends[0] <= 0 && ends[1] >= 0) marks.push({ kind: 'guide', along: 'x', at: 0, look: 'zero' });
  marks.push(...traces);
  if (answer.settled && dimensioned !== undefined) marks.push(...peakDimensions(answer, dimensioned));
  const currents = currentPanel(answer, x);
  const volts: Panel = { x, y: { unit: 'V', from: ends[0], to: ends[1], scale: 'linear' }, height: 190, marks, showX: currents === null };
  const states = answer.stretches.map((s) => `${s.part} ${stateWord(s.state)} from ${say(s.from, 's')} to ${say(s.to, 's')}`);
  return {
    name: 'waveform',
    title: `${shown.join(' and ')} against time`,
    description: states.length === 0 ? 'Every transistor stays active.' : `${states.join('; ')}.`,
    columns: [currents === null ? [volts] : [volts, currents]],
    notes: [],
  };
}
