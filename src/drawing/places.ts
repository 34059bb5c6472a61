/** Places where the texts of parts and nodes may stand, in the order in which they are tried. */
import { type Circuit, type Element, isTransistor } from './elements.ts';
import { DEVICE_OFFSET, LABEL_OFFSET, widthOf } from './extents.ts';
import { supplyVoltsText } from './format.ts';
import { box, boxOfWire, isLevel, lengthOf } from './geometry.ts';
import {
  type ArrowSlot,
  type Box,
  type Dot,
  type DrawnSymbol,
  type Earth,
  type Frame,
  type Label,
  LINE,
  type Point,
  type Rail,
  type Span,
  type Terminal,
  type Wire,
} from './plan.ts';
import type { TextMetrics } from './text.ts';

const ASCENT = 11;
const DESCENT = 4;

export interface Place {
  name: string;
  at: Point;
  anchor: Label['anchor'];
  lines: Span[][];
}
export interface Scene {
  circuit: Circuit;
  symbols: DrawnSymbol[];
  wires: Wire[];
  terminals: Terminal[];
  rails: Rail[];
  earths: Earth[];
  dots: Dot[];
  arrows: ArrowSlot[];
  frames: Frame[];
  metrics: TextMetrics;
  /** Of the column that the drawing stands in. */
  width: number;
  /** Volts can be negative: leave room for a minus. */
  signed: boolean;
  tight: number;
  previous?: Record<string, string>;
  /** Parts whose text stands left of them where it can. */
  toLeft: Set<string>;
}

export const volts = (scene: Scene, node: string): Span => {
  const held = scene.circuit.terminals.get(node);
  const text = held !== undefined ? supplyVoltsText(held) : scene.signed ? '−0.00 V' : '00.0 V';
  return { role: 'volts', text, slot: { kind: 'volts', node } };
};
export const gap: Span = { role: 'value', text: ' ' };

export function labelBox(place: Place, metrics: TextMetrics): Box {
  const width = widthOf(metrics, place.lines);
  const left = place.anchor === 'start' ? place.at.x : place.anchor === 'end' ? place.at.x - width : place.at.x - width / 2;
  return box(left, place.at.y - ASCENT, left + width, place.at.y + DESCENT + (place.lines.length - 1) * LINE);
}

export const oneLine = (lines: Span[][]): Span[][] => [lines.flatMap((line, i) => (i === 0 ? line : [gap, ...line]))];

export function partPlaces(s: DrawnSymbol, e: Element, toLeft: boolean): Place[] {
  const { x, y } = s.at;
  const places: Place[] = [];
  const push = (name: string, px: number, py: number, anchor: Label['anchor'], lines: Span[][]): void => {
    places.push({ name, at: { x: px, y: py }, anchor, lines });
  };
  const two = e.lines;
  const one = oneLine(e.lines);
  const first = two.length > 1 ? -2.5 : 5;
  if (!s.upright) {
    const bottom = s.body.bottom;
    push('below, one line', x, bottom + 17, 'middle', one);
    push('below, two lines', x, bottom + 16, 'middle', two);
    push('above, one line', x, s.body.top - 6, 'middle', one);
    push('above, two lines', x, s.body.top - 6 - LINE, 'middle', two);
    for (const shift of [-20, 20, -34, 34]) push(`below, ${shift} aside`, x + shift, bottom + 17, 'middle', one);
    return places;
  }
  if (isTransistor(e)) {
    const side = s.facing === 'left' ? 1 : -1;
    for (const dy of [0, -3, 3, -9, 9])
      push(`away from the base, ${dy}`, x + side * DEVICE_OFFSET, y + first + dy, side > 0 ? 'start' : 'end', two);
    push('beyond the base, below', x - side * 34, y + 30, side > 0 ? 'end' : 'start', two);
    push('beyond the base, above', x - side * 34, y - 34, side > 0 ? 'end' : 'start', two);
    return places;
  }
  const right = Math.max(LABEL_OFFSET, s.body.right - x + 5);
  const left = Math.max(LABEL_OFFSET, x - s.body.left + 5);
  const rightTwo = (): void => push('right, two lines', x + right, y + first, 'start', two);
  const leftTwo = (): void => push('left, two lines', x - left, y + first, 'end', two);
  const preferLeft = toLeft || s.kind === 'speaker' || (s.kind === 'trimmer' && s.facing === 'right');
  if (preferLeft) leftTwo();
  else rightTwo();
  push('right, one line', x + right, y + 5, 'start', one);
  if (!preferLeft) leftTwo();
  push('left, one line', x - left, y + 5, 'end', one);
  if (preferLeft) rightTwo();
  for (const dy of [-12, 12]) {
    push(`right, two lines, ${dy}`, x + right, y + first + dy, 'start', two);
    push(`left, two lines, ${dy}`, x - left, y + first + dy, 'end', two);
  }
  return places;
}

/** Places of a node's name and volts: at its level wires, then at its upright ones. */
export function nodePlaces(scene: Scene, node: string): Place[] {
  const name: Span = { role: 'node', text: node };
  const one: Span[][] = [[name, gap, volts(scene, node)]];
  const two: Span[][] = [[name], [volts(scene, node)]];
  const wires = scene.wires.filter((w) => w.node === node);
  const level = wires.filter(isLevel).sort((a, b) => lengthOf(b) - lengthOf(a));
  const upright = wires.filter((w) => !isLevel(w)).sort((a, b) => lengthOf(b) - lengthOf(a));
  const places: Place[] = [];
  const push = (label: string, x: number, y: number, anchor: Label['anchor'], lines: Span[][]): void => {
    places.push({ name: label, at: { x, y }, anchor, lines });
  };
  const along = (lines: Span[][], suffix: string): void => {
    const more = (lines.length - 1) * LINE;
    for (const w of level) {
      const b = boxOfWire(w);
      const y = b.top;
      push(`above${suffix}`, b.left + 9, y - 8 - more, 'start', lines);
      push(`above, at the right${suffix}`, b.right - 9, y - 8 - more, 'end', lines);
      push(`above, from the corner${suffix}`, b.left + 1, y - 8 - more, 'start', lines);
      push(`above, to the corner${suffix}`, b.right - 1, y - 8 - more, 'end', lines);
      push(`above, in the middle${suffix}`, (b.left + b.right) / 2, y - 8 - more, 'middle', lines);
    }
    for (const w of level) {
      const b = boxOfWire(w);
      // Level with the row, outside of the leg where the wire ends.
      push(`left, level${suffix}`, b.left - 10, b.top + 5 - more / 2, 'end', lines);
      push(`right, level${suffix}`, b.right + 10, b.top + 5 - more / 2, 'start', lines);
    }
    for (const w of level) {
      const b = boxOfWire(w);
      push(`below${suffix}`, b.left + 9, b.top + 17, 'start', lines);
      push(`below, at the right${suffix}`, b.right - 9, b.top + 17, 'end', lines);
    }
    for (const w of upright) {
      const b = boxOfWire(w);
      const middle = (b.top + b.bottom) / 2 + 5 - more / 2;
      const short = b.bottom - b.top < 30;
      for (const [k, y] of [b.bottom - 2 - more, middle, b.top + 13].entries()) {
        if (k !== 1 && !short) continue;
        push(`beside, left ${k}${suffix}`, b.left - 11, y, 'end', lines);
        push(`beside, right ${k}${suffix}`, b.left + 11, y, 'start', lines);
      }
      if (short) continue;
      for (const y of [b.top + 13, b.bottom - 4 - more]) {
        push(`beside, left, off the middle${suffix}`, b.left - 9, y, 'end', lines);
        push(`beside, right, off the middle${suffix}`, b.left + 9, y, 'start', lines);
      }
    }
    for (const w of level) {
      const b = boxOfWire(w);
      for (const shift of [24, 48, -24]) push(`above, shifted ${shift}${suffix}`, b.left + 9 + shift, b.top - 8 - more, 'start', lines);
    }
  };
  along(one, '');
  along(two, ', two lines');
  return places;
}
