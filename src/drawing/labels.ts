/** Where texts stand: each has its places in order, the first free one wins, those with the fewest choices go first. */
import { type Circuit, type Element, isInner, isTransistor } from './elements.ts';
import { DEVICE_OFFSET, LABEL_OFFSET, READING_RESERVE, widthOf } from './extents.ts';
import { supplyVoltsText } from './format.ts';
import { box, boxOfWire, grown, isLevel, lengthOf, overlap, union } from './geometry.ts';
import {
  type ArrowSlot,
  type Box,
  type Dot,
  type DrawnSymbol,
  type Earth,
  type Frame,
  type Label,
  type LabelKind,
  LINE,
  type Point,
  type Rail,
  type Span,
  type Terminal,
  type Wire,
} from './plan.ts';
import { arrowBox, boxMeets, type Shape, shapesOf } from './shapes.ts';
import type { TextMetrics } from './text.ts';

const ASCENT = 11;
const DESCENT = 4;
const TO_WIRE = 2;
const TO_TEXT = 1.5;

interface Place {
  name: string;
  at: Point;
  anchor: Label['anchor'];
  lines: Span[][];
}
interface Request {
  id: string;
  kind: LabelKind;
  of: string;
  places: Place[];
  /** May stand inside a load's frame. */
  inFrame: boolean;
  /** Left out without complaint where no place is free. */
  optional: boolean;
  /** May move to pointing. */
  onPointing: boolean;
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

export interface Lettering {
  labels: Label[];
  /** Labels without a place. */
  failed: { id: string; kind: LabelKind; of: string; width: number }[];
  /** Nodes named away from their row for want of room on it. */
  aside: { of: string; width: number }[];
}

const volts = (scene: Scene, node: string): Span => {
  const held = scene.circuit.terminals.get(node);
  const text = held !== undefined ? supplyVoltsText(held) : scene.signed ? '−0.00 V' : '00.0 V';
  return { role: 'volts', text, slot: { kind: 'volts', node } };
};
const gap: Span = { role: 'value', text: ' ' };

function labelBox(place: Place, metrics: TextMetrics): Box {
  const width = widthOf(metrics, place.lines);
  const left = place.anchor === 'start' ? place.at.x : place.anchor === 'end' ? place.at.x - width : place.at.x - width / 2;
  return box(left, place.at.y - ASCENT, left + width, place.at.y + DESCENT + (place.lines.length - 1) * LINE);
}

const oneLine = (lines: Span[][]): Span[][] => [lines.flatMap((line, i) => (i === 0 ? line : [gap, ...line]))];

function partPlaces(s: DrawnSymbol, e: Element, toLeft: boolean): Place[] {
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
function nodePlaces(scene: Scene, node: string): Place[] {
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

function requests(scene: Scene): Request[] {
  const found: Request[] = [];
  const elements = new Map(scene.circuit.elements.map((e) => [e.id, e]));
  for (const s of scene.symbols) {
    const e = elements.get(s.id);
    if (!e || e.lines.length === 0) continue;
    const kind: LabelKind = s.owner === 'drive' ? 'generator' : s.owner === 'load' ? 'load' : isTransistor(e) ? 'device' : 'part';
    found.push({
      id: `${kind} ${s.id}`,
      kind,
      of: s.id,
      places: partPlaces(s, e, scene.toLeft.has(s.id)),
      inFrame: s.owner === 'load',
      optional: false,
      onPointing: false,
    });
  }
  for (const a of scene.arrows) {
    const text: Span[][] = [[{ role: 'current', text: READING_RESERVE, slot: { kind: 'current', arrow: a.id } }]];
    const upright = a.direction === 'down' || a.direction === 'up';
    const { x, y } = a.at;
    const places: Place[] = upright
      ? [0, -8, 8].flatMap((dy): Place[] => [
          { name: `right ${dy}`, at: { x: x + LABEL_OFFSET, y: y + 4.5 + dy }, anchor: 'start', lines: text },
          { name: `left ${dy}`, at: { x: x - LABEL_OFFSET, y: y + 4.5 + dy }, anchor: 'end', lines: text },
        ])
      : [
          { name: 'above', at: { x, y: y - 11 }, anchor: 'middle', lines: text },
          { name: 'below', at: { x, y: y + 19 }, anchor: 'middle', lines: text },
        ];
    found.push({ id: `current ${a.id}`, kind: 'current', of: a.id, places, inFrame: false, optional: true, onPointing: false });
  }
  const nodes = [...new Set(scene.wires.map((w) => w.node))].filter((n) => !isInner(n) && !scene.circuit.terminals.has(n));
  for (const node of nodes)
    found.push({
      id: `node ${node}`,
      kind: 'node',
      of: node,
      places: nodePlaces(scene, node),
      inFrame: false,
      optional: false,
      onPointing: true,
    });
  for (const t of scene.terminals) {
    if (t.kind !== 'supply' || scene.rails.some((r) => r.node === t.node && Math.abs(r.y - t.at.y) < 0.1)) continue;
    const text: Span[][] = [[{ role: 'node', text: t.node }, gap, volts(scene, t.node)]];
    const { x, y } = t.at;
    const places: Place[] = [
      { name: 'right', at: { x: x + 8, y: y + 5 }, anchor: 'start', lines: text },
      { name: 'left', at: { x: x - 8, y: y + 5 }, anchor: 'end', lines: text },
      { name: 'above', at: { x, y: y - 9 }, anchor: 'middle', lines: text },
      { name: 'below', at: { x, y: y + 17 }, anchor: 'middle', lines: text },
    ];
    found.push({
      id: `supply ${t.node} ${Math.round(x)} ${Math.round(y)}`,
      kind: 'supply',
      of: t.node,
      places,
      inFrame: false,
      optional: false,
      onPointing: true,
    });
  }
  if (scene.earths.length > 0) {
    const text: Span[][] = [[{ role: 'node', text: 'gnd' }, gap, volts(scene, 'gnd')]];
    // Named once: at whichever symbol has room, the leftmost first.
    const places = [...scene.earths]
      .sort((a, b) => a.at.x - b.at.x)
      .flatMap(({ at }): Place[] => [
        { name: `right of ${at.x}`, at: { x: at.x + 16, y: at.y + 11 }, anchor: 'start', lines: text },
        { name: `left of ${at.x}`, at: { x: at.x - 16, y: at.y + 11 }, anchor: 'end', lines: text },
        { name: `below ${at.x}`, at: { x: at.x, y: at.y + 24 }, anchor: 'middle', lines: text },
      ]);
    found.push({ id: 'supply gnd', kind: 'supply', of: 'gnd', places, inFrame: false, optional: false, onPointing: true });
  }
  return found;
}

/** Everything that texts keep off, apart from one another. */
function obstacles(scene: Scene, wires: boolean): Shape[] {
  const shapes: Shape[] = scene.symbols
    .flatMap(shapesOf)
    .map((s) => ({ area: grown(s.area, 1.5), round: s.round && { centre: s.round.centre, radius: s.round.radius + 0.3 } }));
  if (wires) for (const w of scene.wires) shapes.push({ area: grown(boxOfWire(w), TO_WIRE) });
  for (const r of scene.rails) shapes.push({ area: box(r.from - 2, r.y - 3.2, r.to + 2, r.y + 3.2) });
  for (const t of scene.terminals) shapes.push({ area: box(t.at.x - 5, t.at.y - 5, t.at.x + 5, t.at.y + 5) });
  for (const e of scene.earths) shapes.push({ area: box(e.at.x - 11, e.at.y - 1, e.at.x + 11, e.at.y + 10) });
  for (const a of scene.arrows) shapes.push({ area: arrowBox(a) });
  return shapes;
}

/** Finds a place for every text of a scene; `fixed` are texts already placed. */
export function letter(scene: Scene, fixed: Label[]): Lettering {
  const shapes = obstacles(scene, true);
  const solid = obstacles(scene, false);
  const labels: Label[] = [...fixed];
  const failed: Lettering['failed'] = [];
  const aside: Lettering['aside'] = [];
  const frames = scene.frames.map((f) => grown(f.box, 2));
  /** Free of everything but texts: settled once, before any text stands. */
  const clear = (place: Place, inFrame: boolean): boolean => {
    const b = labelBox(place, scene.metrics);
    if (!inFrame && frames.some((f) => overlap(f, b))) return false;
    return !shapes.some((s) => boxMeets(b, s));
  };
  // Texts do not widen a drawing that fills its width already, where another place is free.
  const drawn = [
    ...scene.symbols.map((s) => s.body),
    ...scene.wires.map(boxOfWire),
    ...scene.frames.map((f) => f.box),
    ...labels.map((l) => l.box),
  ].reduce(union);
  const spare = Math.max(0, scene.width - 12 - (drawn.right - drawn.left)) / 2;
  const field = { left: drawn.left - spare, right: drawn.right + spare };
  const waves: LabelKind[][] = [['load', 'generator', 'part'], ['device'], ['supply'], ['current'], ['node']];
  const all = requests(scene);
  for (const wave of waves) {
    const waiting = all
      .filter((r) => wave.includes(r.kind))
      .map((r) => ({
        ...r,
        clear: r.places.filter((p) => clear(p, r.inFrame)).map((place) => ({ place, area: labelBox(place, scene.metrics) })),
      }));
    const free = (area: Box): boolean => !labels.some((l) => overlap(grown(l.box, TO_TEXT), area));
    while (waiting.length > 0) {
      let best = 0;
      let least = Number.POSITIVE_INFINITY;
      waiting.forEach((r, i) => {
        const choices = r.clear.filter((p) => free(p.area)).length;
        if (choices < least) {
          least = choices;
          best = i;
        }
      });
      const [request] = waiting.splice(best, 1);
      const kept = scene.previous?.[request.id];
      const open = request.clear.filter((p) => free(p.area)).map((p) => p.place);
      const inside = (p: Place): boolean => {
        const b = labelBox(p, scene.metrics);
        return b.left >= field.left && b.right <= field.right;
      };
      const place = open.find((p) => p.name === kept) ?? open.find(inside) ?? open[0];
      // The last resort of a part's name: over a conductor, on a halo of paper; never over a body or a text.
      const mandatory = request.kind !== 'node' && request.kind !== 'supply' && !request.optional;
      const haloed =
        place || !mandatory
          ? undefined
          : request.places.find((p) => {
              const b = labelBox(p, scene.metrics);
              if (!request.inFrame && frames.some((f) => overlap(f, b))) return false;
              return free(b) && !solid.some((s) => boxMeets(b, s));
            });
      const shown = place ?? haloed ?? request.places[0];
      if (!place) {
        if (request.optional) continue;
        failed.push({ id: request.id, kind: request.kind, of: request.of, width: widthOf(scene.metrics, shown.lines) });
      }
      if (place?.name.startsWith('beside') && scene.wires.some((w) => w.node === request.of && isLevel(w)))
        aside.push({ of: request.of, width: widthOf(scene.metrics, shown.lines) });
      labels.push({
        id: request.id,
        kind: request.kind,
        of: request.of,
        lines: shown.lines,
        at: shown.at,
        anchor: shown.anchor,
        box: place || haloed ? labelBox(shown, scene.metrics) : box(0, 0, 0, 0),
        place: place || haloed ? shown.name : 'none',
        onPointing: !place && !haloed,
        halo: haloed !== undefined,
      });
    }
  }
  return { labels, failed, aside };
}

/** Label of a rail at one of its ends. */
export function railLabel(rail: Rail, side: 'left' | 'right', scene: Scene): { label: Label; terminal: Terminal } {
  const x = side === 'left' ? rail.from - 3.5 : rail.to + 3.5;
  const place: Place = {
    name: side,
    at: { x: side === 'left' ? x - 8 : x + 8, y: rail.y + 5 },
    anchor: side === 'left' ? 'end' : 'start',
    lines: [[{ role: 'node', text: rail.node }, gap, volts(scene, rail.node)]],
  };
  return {
    terminal: { node: rail.node, at: { x, y: rail.y }, kind: 'supply' },
    label: {
      id: `supply ${rail.node}`,
      kind: 'supply',
      of: rail.node,
      lines: place.lines,
      at: place.at,
      anchor: place.anchor,
      box: labelBox(place, scene.metrics),
      place: side,
      onPointing: false,
      halo: false,
    },
  };
}

/** Whether a text box touches anything drawn or lettered. */
export function collides(b: Box, scene: Scene, labels: Label[]): boolean {
  if (labels.some((l) => overlap(grown(l.box, TO_TEXT), b))) return true;
  if (scene.frames.some((f) => overlap(f.box, b))) return true;
  return obstacles(scene, true).some((s) => boxMeets(b, s));
}

/** Frame round the elements of a load with their labels. */
export function frameOf(name: string, scene: Scene): Frame | null {
  const members = scene.symbols.filter((s) => s.owner === 'load');
  if (members.length === 0) return null;
  const elements = new Map(scene.circuit.elements.map((e) => [e.id, e]));
  const areas = members.map((s) => {
    const e = elements.get(s.id);
    const [place] = e ? partPlaces(s, e, false) : [];
    return place ? union(s.body, labelBox(place, scene.metrics)) : s.body;
  });
  const all = areas.reduce(union);
  const grownBy = grown(all, 9);
  return { name, box: { ...grownBy, right: all.right + 6 } };
}
