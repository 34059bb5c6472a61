/** Levels at rest: volts to ground, with a dimension line for every part that stands between two of them. */
import type { QuiescentAnswer } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import { say } from '../words/numbers.ts';
import { isTransistor } from '../words/quiescent.ts';
import { type Line, type Mark, type Scene, widened } from './scene.ts';

/** Which two nodes a part stands between: a transistor its collector and emitter. */
export type Spans = Readonly<Record<string, readonly [string, string]>>;

/** The spans of a sheet's parts. */
export function spansOf(sheet: Sheet): Spans {
  const spans: Record<string, readonly [string, string]> = {};
  for (const part of sheet.parts) {
    if (part.lifted || part.shorted) continue;
    if ('collector' in part) spans[part.name] = [part.collector, part.emitter];
    else if ('anode' in part) spans[part.name] = [part.anode, part.cathode];
    else spans[part.name] = [part.from, part.to];
  }
  return spans;
}

/** Parts whose dimension would be shorter than this share of the figure's height are left to the drawing. */
const LEAST_SHARE = 0.09;
/** More lanes than this are not read any more; the parts with most volts stay. */
const LANES_AT_MOST = 5;

/** Levels nearer to a rail than this share of the height are drawn as the rail. */
const MERGED_SHARE = 0.03;

interface Leg {
  parts: { name: string; top: string; bottom: string; from: number; to: number }[];
}

/** Legs: parts that follow one another down from level to level share a lane, as on the drawing. */
function legsOf(answer: QuiescentAnswer, spans: Spans, span: number): Leg[] {
  const volts = (node: string): number | null => (node === 'gnd' ? 0 : (answer.nodes[node] ?? null));
  const legs: Leg[] = [];
  for (const [name, [a, b]] of Object.entries(spans)) {
    const va = volts(a);
    const vb = volts(b);
    if (va === null || vb === null || Math.abs(va - vb) < LEAST_SHARE * span) continue;
    const [top, bottom, to, from] = va > vb ? [a, b, va, vb] : [b, a, vb, va];
    const part = { name, top, bottom, from, to };
    const below = legs.find((leg) => leg.parts[leg.parts.length - 1].bottom === top && leg.parts[leg.parts.length - 1].bottom !== 'gnd');
    const above = legs.find((leg) => leg.parts[0].top === bottom);
    if (below !== undefined) below.parts.push(part);
    else if (above !== undefined) above.parts.unshift(part);
    else legs.push({ parts: [part] });
  }
  return legs
    .map((leg) => ({ leg, sum: leg.parts.reduce((total, part) => total + part.to - part.from, 0) }))
    .sort((p, q) => q.sum - p.sum)
    .slice(0, LANES_AT_MOST)
    .map(({ leg }) => leg);
}

/**
 * The scene of a quiescent answer.
 * @param spans which nodes each part stands between (`spansOf`); without them the levels alone are shown
 */
export function quiescentScene(answer: QuiescentAnswer, spans: Spans = {}): Scene {
  const supplies = new Set(Object.keys(answer.supplies));
  const levels: Record<string, number> = { gnd: 0, ...answer.nodes };
  const [low, high] = widened([Math.min(...Object.values(levels)), Math.max(...Object.values(levels))], 1e-3);
  const legs = legsOf(answer, spans, high - low);
  const pitch = 1 / Math.max(1, legs.length);
  const laneOf = (k: number): number => (k + 0.12) * pitch;

  const marks: Mark[] = [];
  const touched = new Map<string, [number, number]>();
  legs.forEach((leg, k) => {
    for (const part of leg.parts) {
      for (const node of [part.top, part.bottom]) {
        const lane = laneOf(k);
        const before = touched.get(node);
        touched.set(node, before === undefined ? [lane, lane] : [Math.min(before[0], lane), Math.max(before[1], lane)]);
      }
    }
  });
  const isRail = (node: string): boolean => supplies.has(node) || node === 'gnd';
  const rails = Object.keys(levels).filter(isRail);
  // A node that lies on a rail shares the rail's line: a jack at 0 V stands with ground.
  const onRail = (node: string): string | undefined =>
    rails.find((rail) => Math.abs(levels[rail] - levels[node]) < MERGED_SHARE * (high - low));
  for (const rail of rails) {
    const merged = Object.keys(levels).filter((node) => !isRail(node) && touched.has(node) && onRail(node) === rail);
    const label: Line = [{ text: [rail, ...merged].join(', '), node: true }];
    marks.push({
      kind: 'level',
      y: levels[rail],
      left: 0,
      right: 1,
      look: 'rail',
      label,
      // Beside the lower rail, not on it: dimensions stand there.
      side: levels[rail] > (low + high) / 2 ? 'below' : 'end',
    });
  }
  for (const [node, volts] of Object.entries(levels)) {
    const lanes = touched.get(node);
    if (isRail(node) || onRail(node) !== undefined || (lanes === undefined && legs.length > 0)) continue;
    const [first, last] = lanes ?? [0, 1];
    const end = lanes === undefined || last >= laneOf(legs.length - 1);
    const label: Line = [
      { text: node, node: true },
      { text: `\u00a0${say(volts, 'V')}`, tone: 'volt', bold: true },
    ];
    marks.push({
      kind: 'level',
      y: volts,
      left: Math.max(0, first - 0.08),
      right: Math.min(1, last + pitch * 0.72),
      look: 'node',
      label,
      side: end ? 'end' : 'above',
    });
  }
  legs.forEach((leg, k) => {
    for (const part of leg.parts) {
      const figures = answer.parts[part.name];
      if (figures === undefined) continue;
      const transistor = isTransistor(figures);
      const volts = transistor ? figures.collectorEmitterVoltage : figures.voltage;
      const lines: Line[] = [
        [{ text: transistor ? `${part.name}, C to E` : part.name, bold: true }],
        [{ text: say(Math.abs(volts), 'V'), bold: true, tone: 'volt' }],
      ];
      marks.push({ kind: 'dimension', from: part.from, to: part.to, lines, tone: 'plain', at: laneOf(k), part: part.name });
    }
  });
  const named = Object.entries(answer.nodes).map(([node, volts]) => `${node} ${say(volts, 'V')}`);
  return {
    name: 'quiescent',
    title: 'Levels at rest, volts to ground',
    description: `${named.join(', ')}.`,
    columns: [[{ x: null, y: { unit: 'V', of: 'to ground', from: low, to: high, scale: 'linear' }, height: 224, marks, showX: false }]],
    notes: [],
  };
}
