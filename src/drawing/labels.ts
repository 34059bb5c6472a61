/** Where texts stand: each has its places in order, the first free one wins, those with the fewest choices go first. */
import { isInner, isTransistor } from './elements.ts';
import { LABEL_OFFSET, READING_RESERVE, widthOf } from './extents.ts';
import { box, boxOfWire, grown, isLevel, overlap, union } from './geometry.ts';
import { gap, labelBox, nodePlaces, type Place, partPlaces, type Scene, volts } from './places.ts';
import type { Box, Frame, Label, LabelKind, Rail, Span, Terminal } from './plan.ts';
import { arrowBox, boxMeets, type Shape, shapesOf } from './shapes.ts';

const TO_WIRE = 2;
const TO_TEXT = 1.5;

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

export interface Lettering {
  labels: Label[];
  /** Labels without a place. */
  failed: { id: string; kind: LabelKind; of: string; width: number }[];
  /** Nodes named away from their row for want of room on it. */
  aside: { of: string; width: number }[];
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
