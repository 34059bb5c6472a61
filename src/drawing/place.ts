/** From rows and columns to symbols and conductors. */

import { touchOffset } from './columns.ts';
import { type Circuit, type Element, halfLength, isInner } from './elements.ts';
import { bodyBox } from './extents.ts';
import { boxOfWire, count, DOWN, isLevel, LEFT, leaving, lengthOf, liesOn, RIGHT, samePoint, shifted, UP, union } from './geometry.ts';
import { bodyRow, lowerRow, upperRow } from './joins.ts';
import type { Strip } from './legs.ts';
import type { Dot, DrawnSymbol, Earth, Pin, Rail, Terminal, Wire } from './plan.ts';
import { type Ground, isFree, route } from './router.ts';
import { endKind, type Rows } from './rows.ts';

export interface Placed {
  symbols: DrawnSymbol[];
  wires: Wire[];
  dots: Dot[];
  terminals: Terminal[];
  rails: Rail[];
  earths: Earth[];
  /** Nodes whose pieces could not be joined. */
  broken: string[];
}

/** Half of the rail that sticks out beyond the outermost leg. */
const RAIL_OVERHANG = 14;
const STUB = 10;
const END_STUB = 14;
const BAR = 18.4;

export function placeAll(strips: Strip[], rows: Rows, x: number[], circuit: Circuit): Placed {
  const y = (name: string): number => rows.y.get(name) ?? 0;
  const symbols: DrawnSymbol[] = [];
  const terminals: Terminal[] = [];
  const earths: Earth[] = [];
  const ground: Ground = { bodies: [], wires: [], pins: [], frame: { left: 0, top: 0, right: 0, bottom: 0 } };
  const ends = { top: [] as number[], bottom: [] as number[] };
  const wire = (node: string, x1: number, y1: number, x2: number, y2: number): void => {
    ground.wires.push({ node, from: { x: x1, y: y1 }, to: { x: x2, y: y2 } });
  };
  /** A terminal of its own at the end of a stub: earth, or a supply's open circle. */
  const local = (node: string, px: number, py: number, toward: 'down' | 'up' | 'right' | 'left'): void => {
    if (node === 'gnd') {
      if (toward === 'down') earths.push({ at: { x: px, y: py } });
      else {
        const side = toward === 'left' ? -1 : 1;
        wire(node, px, py, px + side * 24, py);
        wire(node, px + side * 24, py, px + side * 24, py + 6);
        earths.push({ at: { x: px + side * 24, y: py + 6 } });
        ground.bodies.push({ left: px + side * 24 - 10, right: px + side * 24 + 10, top: py + 6, bottom: py + 16 });
        return;
      }
      ground.bodies.push({ left: px - 10, right: px + 10, top: py, bottom: py + 10 });
      return;
    }
    const dx = toward === 'left' ? -3.5 : toward === 'right' ? 3.5 : 0;
    const dy = toward === 'up' ? -3.5 : toward === 'down' ? 3.5 : 0;
    terminals.push({ node, at: { x: px + dx, y: py + dy }, kind: 'supply' });
    ground.bodies.push({ left: px + dx - 3.5, right: px + dx + 3.5, top: py + dy - 3.5, bottom: py + dy + 3.5 });
  };

  const symbolOf = (e: Element, cx: number, cy: number, upright: boolean, firstLeads: boolean, facing: 'left' | 'right'): void => {
    const half = halfLength(e.kind);
    const near = upright ? { x: cx, y: cy - half } : { x: cx - half, y: cy };
    const far = upright ? { x: cx, y: cy + half } : { x: cx + half, y: cy };
    const pins: Pin[] = [
      { node: e.first, at: firstLeads ? near : far },
      { node: e.second, at: firstLeads ? far : near },
    ];
    if (e.control !== undefined) {
      const reach = e.kind === 'trimmer' ? 7 : BAR;
      pins.push({ node: e.control, at: { x: cx + (facing === 'left' ? -reach : reach), y: cy } });
    }
    const body = shifted(bodyBox(e, upright, facing), cx, cy);
    symbols.push({
      id: e.id,
      owner: e.owner,
      kind: e.kind,
      at: { x: cx, y: cy },
      upright,
      firstLeads,
      facing,
      pins,
      body,
      polarized: e.polarized,
      bench: e.bench,
      description: e.description,
    });
    ground.bodies.push(body);
    pins.forEach((pin, k) => {
      let toBody: number;
      if (k === 2) toBody = facing === 'left' ? RIGHT : LEFT;
      else if (upright) toBody = samePoint(pin.at, near) ? DOWN : UP;
      else toBody = samePoint(pin.at, near) ? RIGHT : LEFT;
      ground.pins.push({ node: pin.node, at: pin.at, toBody });
    });
  };

  strips.forEach((strip, i) => {
    if (strip.form === 'flat') {
      const cy = y(bodyRow(i, 0));
      if (strip.body.kind === 'end') {
        const left = isInner(strip.left);
        const node = left ? strip.right : strip.left;
        wire(node, x[i], cy, x[i] + (left ? END_STUB : -END_STUB), cy);
        terminals.push({ node, at: { x: x[i] + (left ? -3.5 : 3.5), y: cy }, kind: 'open' });
        ground.bodies.push({ left: x[i] - 3.5, right: x[i] + 3.5, top: cy - 3.5, bottom: cy + 3.5 });
        ground.pins.push({ node, at: { x: x[i], y: cy }, toBody: left ? LEFT : RIGHT });
        return;
      }
      symbolOf(strip.body, x[i], cy, false, strip.body.first === strip.left, 'left');
      const half = halfLength(strip.body.kind);
      for (const [node, side] of [
        [strip.left, -1],
        [strip.right, 1],
      ] as const) {
        const from = x[i] + side * half;
        wire(node, from, cy, from + side * STUB, cy);
        if (circuit.terminals.has(node)) local(node, from + side * STUB, cy, side < 0 ? 'left' : 'right');
      }
      return;
    }
    const last = strip.nodes.length - 1;
    strip.bodies.forEach((e, k) => {
      const facing = rows.facing.get(`${i}.${k}`) ?? 'left';
      const cy = y(bodyRow(i, k));
      symbolOf(e, x[i], cy, true, strip.firstUp[k], facing);
      if (e.control === undefined) return;
      const side = facing === 'left' ? -1 : 1;
      const from = e.kind === 'trimmer' ? 7 : BAR;
      const to = e.kind === 'trimmer' ? 26 : 40;
      wire(e.control, x[i] + side * from, cy, x[i] + side * to, cy);
      if (circuit.terminals.has(e.control)) local(e.control, x[i] + side * to, cy, side < 0 ? 'left' : 'right');
    });
    strip.nodes.forEach((node, k) => {
      const topOf = k === 0 ? y(upperRow(i, 0)) : y(bodyRow(i, k - 1)) + halfLength(strip.bodies[k - 1].kind);
      const bottomOf = k === last ? y(lowerRow(i, last)) : y(bodyRow(i, k)) - halfLength(strip.bodies[k].kind);
      wire(node, x[i], topOf, x[i], bottomOf);
      const kind = endKind(strip, k, circuit);
      if (k === 0) {
        if (kind === 'rail') ends.top.push(x[i]);
        else if (kind !== 'joint') local(node, x[i], topOf, node === 'gnd' ? 'right' : 'up');
      } else if (k === last) {
        if (kind === 'rail') ends.bottom.push(x[i]);
        else if (kind !== 'joint') local(node, x[i], bottomOf, 'down');
      } else if (circuit.terminals.has(node)) local(node, x[i], y(upperRow(i, k)), 'right');
    });
  });

  const rails: Rail[] = [];
  const topY = y('top');
  if (circuit.top !== null && ends.top.length > 0)
    rails.push({ node: circuit.top, y: topY, from: Math.min(...ends.top) - RAIL_OVERHANG, to: Math.max(...ends.top) + RAIL_OVERHANG });
  if (ends.bottom.length > 0)
    rails.push({
      node: circuit.bottom,
      y: rows.bottom,
      from: Math.min(...ends.bottom) - RAIL_OVERHANG,
      to: Math.max(...ends.bottom) + RAIL_OVERHANG,
    });

  // A wire that must leave the columns may run past them, but between the rails.
  const all = [...ground.bodies, ...ground.wires.map(boxOfWire)].reduce(union);
  ground.frame = { left: all.left - 40, right: all.right + 40, top: topY + 12, bottom: rows.bottom - 12 };
  const broken = joinAll(strips, rows, x, circuit, ground);
  trim(ground, circuit);

  const dots: Dot[] = [];
  for (const wires of byNode(ground.wires).values()) {
    for (const p of wires.flatMap((w) => [w.from, w.to])) {
      let bits = leaving(p, wires);
      for (const pin of ground.pins) if (pin.node === wires[0].node && samePoint(pin.at, p)) bits |= pin.toBody;
      if (count(bits) > 2 && !dots.some((d) => samePoint(d.at, p))) dots.push({ node: wires[0].node, at: p });
    }
  }
  for (const px of ends.top) dots.push({ node: circuit.top ?? '', at: { x: px, y: topY } });
  for (const px of ends.bottom) dots.push({ node: circuit.bottom, at: { x: px, y: rows.bottom } });
  return { symbols, wires: merged(ground.wires), dots: uniqueDots(dots), terminals, rails, earths, broken };
}

const uniqueDots = (dots: Dot[]): Dot[] => dots.filter((d, i) => dots.findIndex((e) => samePoint(e.at, d.at)) === i);

function byNode(wires: Wire[]): Map<string, Wire[]> {
  const found = new Map<string, Wire[]>();
  for (const w of wires) found.set(w.node, [...(found.get(w.node) ?? []), w]);
  return found;
}

/** Cuts off ends that lead nowhere, where a wire was joined before its end. */
function trim(ground: Ground, circuit: Circuit): void {
  for (const w of ground.wires) {
    if (circuit.terminals.has(w.node) || lengthOf(w) === 0) continue;
    const others = ground.wires.filter((o) => o !== w && o.node === w.node && lengthOf(o) > 0);
    for (const end of ['from', 'to'] as const) {
      const p = w[end];
      if (others.some((o) => liesOn(p, o)) || ground.pins.some((q) => q.node === w.node && samePoint(q.at, p))) continue;
      const far = w[end === 'from' ? 'to' : 'from'];
      const meeting = others.flatMap((o) =>
        [o.from, o.to, isLevel(w) ? { x: o.from.x, y: p.y } : { x: p.x, y: o.from.y }].filter(
          (q) => liesOn(q, w) && liesOn(q, o) && !samePoint(q, far),
        ),
      );
      if (meeting.length === 0) continue;
      const near = (q: { x: number; y: number }): number => Math.abs(q.x - p.x) + Math.abs(q.y - p.y);
      w[end] = meeting.reduce((a, b) => (near(b) < near(a) ? b : a));
    }
  }
}

/** Groups of a node's pieces that touch. */
function islands(wires: Wire[]): Wire[][] {
  const groups: Wire[][] = [];
  for (const w of wires) {
    const near = groups.filter((g) => g.some((o) => liesOn(w.from, o) || liesOn(w.to, o) || liesOn(o.from, w) || liesOn(o.to, w)));
    const joined = [w, ...near.flat()];
    for (const g of near) groups.splice(groups.indexOf(g), 1);
    groups.push(joined);
  }
  return groups;
}

function joinAll(strips: Strip[], rows: Rows, x: number[], circuit: Circuit, ground: Ground): string[] {
  const y = (name: string): number => rows.y.get(name) ?? 0;
  const wait: Wire[] = [];
  for (const link of rows.links) {
    if (!rows.level.has(link) || link.from.right === null || link.to.left === null) continue;
    const from = { x: x[link.from.strip] + touchOffset(strips, link.from), y: y(link.from.right) };
    const to = { x: x[link.to.strip] + touchOffset(strips, link.to), y: y(link.to.left) };
    if (Math.abs(from.y - to.y) > 0.01 || to.x - from.x < 1) continue;
    // A flat part's or a base's own stub is already there; the rest of the way is what must be free.
    const stub = (p: { x: number; y: number }, side: number): number => {
      const own = ground.wires.find(
        (w) =>
          w.node === link.node &&
          isLevel(w) &&
          lengthOf(w) > 0 &&
          (samePoint(w.from, p) || samePoint(w.to, p)) &&
          (side > 0 ? boxOfWire(w).right > p.x + 1 : boxOfWire(w).left < p.x - 1),
      );
      return own ? (side > 0 ? boxOfWire(own).right : boxOfWire(own).left) : p.x;
    };
    const a = stub(from, 1);
    const b = stub(to, -1);
    if (b - a > 0.01) wait.push({ node: link.node, from: { x: a, y: from.y }, to: { x: b, y: from.y } });
    else if (a - b > 0.01) {
      // Two stubs overlap: shorten one to meet the other.
      for (const w of ground.wires) {
        if (w.node !== link.node || !isLevel(w)) continue;
        if (samePoint(w.from, from)) w.to = { x: Math.max(b, from.x), y: from.y };
      }
    }
  }
  wait.sort((p, q) => lengthOf(p) - lengthOf(q));
  for (const w of wait) if (isFree(ground, w)) ground.wires.push(w);

  const lanes = lanesOf(x, ground);
  const broken: string[] = [];
  const nodes = [...byNode(ground.wires).keys()].filter((n) => !circuit.terminals.has(n));
  // Short ways first: they have the fewest alternatives.
  const waiting = nodes
    .map((node) => ({ node, groups: islands(ground.wires.filter((w) => w.node === node)) }))
    .filter((n) => n.groups.length > 1);
  const span = (groups: Wire[][]): number => {
    const b = groups.flat().map(boxOfWire).reduce(union);
    return b.right - b.left + (b.bottom - b.top);
  };
  waiting.sort((a, b) => span(a.groups) - span(b.groups) || (a.node < b.node ? -1 : 1));
  for (const { node } of waiting) {
    for (;;) {
      const groups = islands(ground.wires.filter((w) => w.node === node));
      if (groups.length < 2) break;
      groups.sort((a, b) => a.reduce((s, w) => s + lengthOf(w), 0) - b.reduce((s, w) => s + lengthOf(w), 0));
      let found: Wire[] | null = null;
      for (const source of groups) {
        found = route(ground, node, source, groups.filter((g) => g !== source).flat(), lanes);
        if (found) break;
      }
      if (!found) {
        broken.push(node);
        break;
      }
      ground.wires.push(...found);
    }
  }
  return broken;
}

/** Coordinates on which a free wire may run: beside bodies, between columns, 14 from what is there. */
function lanesOf(x: number[], ground: Ground): { x: number[]; y: number[] } {
  const xs: number[] = [];
  const ys: number[] = [];
  for (const b of ground.bodies) {
    xs.push(b.left - 9, b.right + 9);
    ys.push(b.top - 9, b.bottom + 9);
  }
  for (const w of ground.wires) {
    const b = boxOfWire(w);
    xs.push(b.left - 14, b.right + 14);
    ys.push(b.top - 14, b.bottom + 14);
  }
  const sorted = [...x].sort((a, b) => a - b);
  for (let i = 1; i < sorted.length; i++) xs.push((sorted[i] + sorted[i - 1]) / 2);
  const tidy = (v: number[]): number[] => [...new Set(v.map((n) => Math.round(n)))].sort((a, b) => a - b);
  return { x: tidy(xs), y: tidy(ys) };
}

/** Pieces that continue one another become one, so that lengths and bends count once. */
function merged(wires: Wire[]): Wire[] {
  const result: Wire[] = [];
  for (const w of wires.filter((v) => lengthOf(v) > 0.01)) {
    let piece = w;
    for (;;) {
      const k = result.findIndex((o) => o.node === piece.node && isLevel(o) === isLevel(piece) && touchInLine(o, piece));
      if (k < 0) break;
      const b = union(boxOfWire(result[k]), boxOfWire(piece));
      result.splice(k, 1);
      piece = { node: piece.node, from: { x: b.left, y: b.top }, to: { x: b.right, y: b.bottom } };
    }
    result.push(piece);
  }
  return result;
}

function touchInLine(a: Wire, b: Wire): boolean {
  const [p, q] = [boxOfWire(a), boxOfWire(b)];
  if (isLevel(a)) return Math.abs(p.top - q.top) < 0.01 && p.left <= q.right + 0.01 && q.left <= p.right + 0.01;
  return Math.abs(p.left - q.left) < 0.01 && p.top <= q.bottom + 0.01 && q.top <= p.bottom + 0.01;
}
