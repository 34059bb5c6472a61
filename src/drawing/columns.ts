/** Sideways places of the strips, by the same longest paths as the heights. */
import { type Circuit, halfLength } from './elements.ts';
import { extentsOf, spacing } from './extents.ts';
import type { Link, Touch } from './joins.ts';
import type { Strip } from './legs.ts';
import type { Patterns } from './patterns.ts';
import type { Rows } from './rows.ts';
import { Differences } from './system.ts';
import type { TextMetrics } from './text.ts';

export interface ColumnRoom {
  /** Extra length of a link, by its key, asked for by labels that found no place. */
  links: Map<string, number>;
  /** Extra distance behind a strip. */
  behind: Map<string, number>;
  pitch: number;
  /** Extra distance wherever two strips stand beside one another. */
  spread: number;
  tight: number;
  width: number;
}

export const linkKey = (l: Link): string => `${l.node} ${l.from.key} ${l.to.key}`;
const LEAD = 14;
/** A gap is not stretched further than this when there is room to spare. */
const STRETCH = 26;
const MARGIN_LEFT = 6;
const HOLD = 6;

/** Where a touch is joined, relative to its strip. */
export function touchOffset(strips: Strip[], touch: Touch): number {
  const strip = strips[touch.strip];
  if (touch.kind === 'joint' || touch.kind === 'end') return 0;
  if (strip.form === 'flat') return (touch.at === 0 ? -1 : 1) * halfLength(strip.body.kind);
  const body = strip.bodies[touch.at];
  const reach = body.kind === 'trimmer' ? 7 : 18.4;
  return touch.left !== null ? -reach : reach;
}

/** Returns x by strip, and the width that they take with their labels. */
export function solveColumns(
  strips: Strip[],
  rows: Rows,
  circuit: Circuit,
  patterns: Patterns,
  metrics: TextMetrics,
  room: ColumnRoom,
): { x: number[]; width: number } {
  const system = new Differences();
  const extents = strips.map((_, i) => extentsOf(strips, i, rows, circuit, metrics, room.tight));
  const name = (i: number): string => `s${i}`;
  system.variable('left');
  strips.forEach((_, i) => {
    const reach = Math.max(...extents[i].map((p) => -p.area.left), 0);
    system.add('left', name(i), reach);
  });
  const add = (i: number, j: number, gap: number, spring = 0): void => {
    system.add(name(i), name(j), gap, spring);
  };
  const symmetrical = new Map<string, number>();
  for (let i = 0; i < strips.length; i++) {
    for (let j = i + 1; j < strips.length; j++) {
      let gap = spacing(extents[i], extents[j]);
      if (gap === 0 && strips[i].form === 'column' && strips[j].form === 'column' && j === i + 1) gap = 16;
      if (gap === 0) continue;
      if (j === i + 1) gap += room.spread;
      if (j === i + 1)
        gap = Math.max(
          gap + (room.behind.get(strips[i].id) ?? 0),
          strips[i].form === 'column' && strips[j].form === 'column' ? room.pitch : 0,
        );
      symmetrical.set(`${i} ${j}`, gap);
      add(i, j, gap, j === i + 1 ? 1 : 0);
    }
  }
  const named = new Set<string>();
  for (const link of rows.links) {
    const apart = touchOffset(strips, link.from) - touchOffset(strips, link.to);
    const label = room.links.get(linkKey(link)) ?? 0;
    const bare = LEAD + 8;
    // A base wire carries the name of its node: as long as the text and 12.
    let carries = 0;
    if (link.to.kind === 'control' && link.from.kind === 'joint' && !named.has(link.node) && room.tight === 0) {
      named.add(link.node);
      const name = metrics.width(link.node, 'serif', 15);
      const volts = metrics.width('−0.00 V', 'bold', 14);
      carries = name + 4 + volts + 12 + 12;
    }
    const from = strips[link.from.strip];
    const to = strips[link.to.strip];
    // The input's name stands over the wire from the generator to the first part.
    if (from.form === 'column' && from.role === 'generator' && to.form === 'flat') {
      add(link.from.strip, link.to.strip, metrics.width(link.node, 'serif', 15) + 4 + metrics.width('00.0 V', 'bold', 14) + 8 + apart, 0.5);
    }
    const base =
      link.to.kind === 'control' || link.from.kind === 'control'
        ? Math.max(bare, carries) + (link.from.kind === link.to.kind ? 22 : 0)
        : LEAD;
    const gap = Math.max(base, label) + apart;
    if (link.from.strip !== link.to.strip)
      add(Math.min(link.from.strip, link.to.strip), Math.max(link.from.strip, link.to.strip), gap, 0.5);
  }
  // Parts side by side between the same two nodes stand one over the other.
  strips.forEach((strip, i) => {
    if (strip.form !== 'flat') return;
    const j = strips.findIndex((other, k) => k < i && other.form === 'flat' && other.left === strip.left && other.right === strip.right);
    if (j >= 0)
      system.tryAll([
        { from: name(i), to: name(j), gap: 0 },
        { from: name(j), to: name(i), gap: 0 },
      ]);
  });
  // A pair stands symmetrically about its tail.
  for (const { node, left, right } of patterns.tails) {
    const find = (id: string): number => strips.findIndex((s) => s.form === 'column' && s.bodies.some((b) => b.id === id));
    const a = find(left.id);
    const b = find(right.id);
    const tail = strips.findIndex((s, i) => s.form === 'column' && i !== a && i !== b && s.nodes[0] === node);
    const tailBelow = strips.findIndex((s, i) => s.form === 'column' && i !== a && i !== b && s.nodes[s.nodes.length - 1] === node);
    const middle = tail >= 0 ? tail : tailBelow;
    if (a < 0 || b < 0 || middle < 0) continue;
    const [l, r] = a < b ? [a, b] : [b, a];
    if (middle < l || middle > r) continue;
    for (let half = Math.ceil((symmetrical.get(`${l} ${r}`) ?? 60) / 2); half < 400; half += 2) {
      const done = system.tryAll([
        { from: name(l), to: name(middle), gap: half },
        { from: name(middle), to: name(l), gap: -half },
        { from: name(middle), to: name(r), gap: half },
        { from: name(r), to: name(middle), gap: -half },
      ]);
      if (done) break;
    }
  }
  // The outermost strips hold on to the margins, so that what is to spare goes between the columns.
  const reach = (i: number, side: 'left' | 'right'): number =>
    Math.max(0, ...extents[i].map((p) => (side === 'left' ? -p.area.left : p.area.right)));
  system.tryAll([]);
  const indices = strips.map((_, i) => i);
  const first = indices.reduce((a, b) => (system.at(name(b)) - reach(b, 'left') < system.at(name(a)) - reach(a, 'left') ? b : a), 0);
  const last = indices.reduce((a, b) => (system.at(name(b)) + reach(b, 'right') > system.at(name(a)) + reach(a, 'right') ? b : a), 0);
  for (const i of indices) system.add(name(i), 'right', reach(i, 'right'), i === last ? HOLD : 0);
  system.add('left', name(first), reach(first, 'left'), HOLD);
  system.tryAll([]);
  const needed = system.at('right');
  const available = room.width - 2 * MARGIN_LEFT;
  const gaps = strips.filter((s) => s.form === 'column').length;
  const width = Math.max(needed, Math.min(available, needed + STRETCH * gaps));
  const placed = system.settle(
    new Map([
      ['left', 0],
      ['right', width],
    ]),
    80,
  );
  const offset = Math.max(MARGIN_LEFT, (room.width - width) / 2);
  return { x: strips.map((_, i) => Math.round((placed.get(name(i)) ?? 0) + offset)), width: width + 2 * MARGIN_LEFT };
}
