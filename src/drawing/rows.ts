/** Heights: one unknown per row. */

import { separate } from './apart.ts';
import { feedbackFlats, feedbackRow, mirrorPairs } from './blocks.ts';
import { type Circuit, halfLength, isInner, isTransistor } from './elements.ts';
import { bodyRow, facings, type Link, linksOf, lowerRow, type Side, type Touch, touchesOf, upperRow } from './joins.ts';
import type { Column, Strip } from './legs.ts';
import type { Patterns } from './patterns.ts';
import { Differences } from './system.ts';

/** How a column ends: on a rail, in a symbol of its own, or in a joint. */
export type EndKind = 'rail' | 'earth' | 'terminal' | 'joint';

export interface Rows {
  links: Link[];
  /** Links whose two ends could be put on one height. */
  level: Set<Link>;
  touches: Map<string, Touch[]>;
  facing: Map<string, Side>;
  y: Map<string, number>;
  bottom: number;
  /** Bodies that stand on a common line. */
  ranks: string[][];
}

export interface RowRoom {
  /** Extra height, by variable pair key `strip.node`, asked for by labels that found no place. */
  extra: Map<string, number>;
  /** Extra distance of joints from bodies. */
  spread: number;
  /** Room for a current reading at the rails. */
  reading: number;
  readings: boolean;
}

const RAIL_Y = 28;
const FOOT = 24;
const SHORT_FOOT = 14;
/** One-device stages are drawn at least so high, rail to rail. */
const USUAL_HEIGHT = 390;
const BARE_HEIGHT = 150;
const STAGGER = 14;
/** Rows of parts in parallel: body, text and air. */
const TWIN_ROW = 52;
/** From the middle of a load's element to a joint outside of its frame. */
const LOAD_REACH = 42;
/** What hangs from a row with a level part on it keeps its text below that part's. */
const DROP = 30;
const UPPER_BODY = 84;
const LOWER_BODY = 74;

export function endKind(column: Column, at: number, circuit: Circuit): EndKind {
  const node = column.nodes[at];
  if (!circuit.terminals.has(node)) return 'joint';
  if (at === 0 && node === circuit.top) return 'rail';
  if (at === column.nodes.length - 1 && node === circuit.bottom) return 'rail';
  return node === 'gnd' ? 'earth' : 'terminal';
}

/** Whether the current at this end of a column is shown. */
export function hasReading(column: Column, at: number, circuit: Circuit): boolean {
  if (column.role === 'generator' || endKind(column, at, circuit) !== 'rail') return false;
  const body = at === 0 ? column.bodies[0] : column.bodies[column.bodies.length - 1];
  if (column.role === 'load') return at !== 0 && body.kind !== 'capacitor';
  return body.kind !== 'capacitor';
}

/** From a body's terminal to the joint that it meets. */
function clearance(column: Column, body: number): number {
  const e = column.bodies[body];
  if (column.role === 'generator' && body === 0) return DROP;
  if (e.owner === 'load') return LOAD_REACH - halfLength(e.kind);
  switch (e.kind) {
    case 'npn':
    case 'pnp':
      return 21;
    case 'diode':
    case 'led':
      return 17;
    case 'capacitor':
      return 17;
    case 'speaker':
      return 16;
    case 'generator':
    case 'voltage':
    case 'current':
      return 12;
    default:
      return 12;
  }
}

/** Solves the rows of an order of strips. */
export function solveRows(strips: Strip[], circuit: Circuit, patterns: Patterns, room: RowRoom): Rows {
  const system = new Differences();
  // A row of a folded drawing without an upper rail takes no more height than its parts need.
  const usualHeight = strips.some((s) => s.form === 'column' && endKind(s, 0, circuit) === 'rail') ? USUAL_HEIGHT : BARE_HEIGHT;
  const facing = facings(strips, circuit, patterns);
  const touches = touchesOf(strips, circuit, facing);
  const links = linksOf(touches);
  const sides = new Map<string, { left: boolean; right: boolean }>();
  const sideOf = (t: Touch): { left: boolean; right: boolean } => {
    const key = `${t.strip}.${t.kind}${t.at}`;
    const known = sides.get(key) ?? { left: false, right: false };
    sides.set(key, known);
    return known;
  };
  for (const link of links) {
    sideOf(link.from).right = true;
    sideOf(link.to).left = true;
  }
  system.variable('top');
  system.variable('bottom');
  const must = (from: string, to: string, gap: number, spring = 1): void => {
    system.add(from, to, gap, spring);
  };

  const besideFlat = new Set(strips.flatMap((s) => (s.form === 'flat' && s.body.kind !== 'end' ? [s.left, s.right] : [])));
  strips.forEach((strip, i) => {
    if (strip.form === 'flat') {
      must('top', bodyRow(i, 0), 30, 0);
      must(bodyRow(i, 0), 'bottom', 30, 0);
      return;
    }
    const last = strip.nodes.length - 1;
    strip.nodes.forEach((node, k) => {
      const u = upperRow(i, k);
      const l = lowerRow(i, k);
      const end = k === 0 || k === last;
      const kind = endKind(strip, k, circuit);
      const extra = (room.extra.get(`${i}.${k}`) ?? 0) + room.spread / 3;
      const used = end ? undefined : sides.get(`${i}.joint${k}`);
      const stagger = used?.left && used.right ? STAGGER : 0;
      system.add(u, l, stagger);
      system.add(l, u, -stagger);
      if (kind === 'rail') {
        const rail = k === 0 ? 'top' : 'bottom';
        system.add(u, rail, 0);
        system.add(rail, u, 0);
      } else {
        must('top', u, 16, 0);
        must(l, 'bottom', kind === 'joint' ? 16 : 24, 0);
      }
      const reading = kind === 'rail' && hasReading(strip, k, circuit) && room.readings;
      const ends = kind === 'joint' ? 0 : reading ? room.reading : kind === 'rail' ? FOOT : SHORT_FOOT;
      const framed = strip.bodies.some((b) => b.owner === 'load') ? 12 : 0;
      const bare = !end && !used?.left && !used?.right && !circuit.terminals.has(node);
      if (k > 0) {
        const half = halfLength(strip.bodies[k - 1].kind);
        const gap =
          ends > 0 ? ends + framed : bare ? (isInner(node) ? 6 : 9) : clearance(strip, k - 1) + (circuit.terminals.has(node) ? 12 : 0);
        must(bodyRow(i, k - 1), u, half + gap + extra / 2, k === last && kind === 'rail' ? 3 : 1);
      }
      if (k < last) {
        const half = halfLength(strip.bodies[k].kind);
        const gap =
          ends > 0
            ? ends + framed
            : bare
              ? isInner(node)
                ? 6
                : 9
              : Math.max(clearance(strip, k), k === 0 && besideFlat.has(node) ? DROP : 0);
        must(l, bodyRow(i, k), half + gap + extra / 2, k === 0 && kind === 'rail' ? 3 : 1);
      }
    });
  });

  // Equalities, the ones that a reader notices most first.
  const level = new Set<Link>();
  const importance = (link: Link): number => {
    const kinds = [link.from.kind, link.to.kind];
    if (link.from.kind === 'control' && link.to.kind === 'control') return 0;
    if (kinds.includes('control') && kinds.includes('joint')) return 1;
    if (kinds.includes('control')) return 2;
    if (kinds.includes('flat')) return kinds.includes('joint') ? 3 : 4;
    return kinds.includes('joint') ? 4 : 5;
  };
  const place = (element: { id: string }): string | null => {
    for (let i = 0; i < strips.length; i++) {
      const strip = strips[i];
      if (strip.form !== 'column') continue;
      const k = strip.bodies.findIndex((b) => b.id === element.id);
      if (k >= 0) return bodyRow(i, k);
    }
    return null;
  };
  for (const { input, output } of patterns.mirrors) {
    const [a, b] = [place(input), place(output)];
    if (a && b) system.equal(a, b);
  }
  for (const { left, right } of patterns.tails) {
    const [a, b] = [place(left), place(right)];
    if (a && b) system.equal(a, b);
  }
  const ordered = [...links].sort((a, b) => importance(a) - importance(b) || a.to.strip - a.from.strip - (b.to.strip - b.from.strip));
  const apart = feedbackFlats(strips, circuit, facing);
  const twins = new Map<number, number>();
  strips.forEach((strip, i) => {
    if (strip.form !== 'flat') return;
    const j = strips.findIndex(
      (other, k) => k < i && other.form === 'flat' && other.left === strip.left && other.right === strip.right && !twins.has(k),
    );
    if (j >= 0) twins.set(i, j);
  });
  for (const link of ordered) {
    if (apart.has(link.from.strip) || apart.has(link.to.strip) || twins.has(link.from.strip) || twins.has(link.to.strip)) continue;
    if (link.blocked || link.from.right === null || link.to.left === null) continue;
    if (system.equal(link.from.right, link.to.left)) level.add(link);
  }

  mirrorPairs(strips, patterns, system, place, usualHeight);
  for (const [twin, first] of twins) {
    const above = [...twins].filter(([t, f]) => f === first && t <= twin).length;
    system.tryAll([
      { from: bodyRow(first, 0), to: bodyRow(twin, 0), gap: TWIN_ROW * above },
      { from: bodyRow(twin, 0), to: bodyRow(first, 0), gap: -TWIN_ROW * above },
    ]);
  }
  for (const [flat, { column, body }] of apart) feedbackRow(strips, circuit, system, flat, column, body);

  const usual = Math.max(usualHeight, system.at('bottom'));
  // Bodies of a rank on one line, where that costs no height.
  const uppers: string[] = [];
  const lowers: string[] = [];
  const names = new Map<string, string>();
  strips.forEach((strip, i) => {
    if (strip.form !== 'column') return;
    const last = strip.bodies.length - 1;
    for (const [k, b] of strip.bodies.entries()) names.set(bodyRow(i, k), b.id);
    if (strip.role === 'leg' && endKind(strip, 0, circuit) === 'rail' && !isTransistor(strip.bodies[0])) uppers.push(bodyRow(i, 0));
    const foot = endKind(strip, last + 1, circuit);
    if (strip.role !== 'generator' && foot === 'rail' && !isTransistor(strip.bodies[last])) lowers.push(bodyRow(i, last));
  });
  for (const row of uppers) system.tryAll([{ from: 'top', to: row, gap: UPPER_BODY }], usual, 'bottom');
  for (const row of lowers) system.tryAll([{ from: row, to: 'bottom', gap: LOWER_BODY }], usual, 'bottom');
  const aligned = (rows: string[], line: string): string[] => {
    const kept: string[] = [];
    for (const row of rows) if (system.equal(row, line, usual, 'bottom')) kept.push(names.get(row) ?? row);
    return kept;
  };
  const ranks = [aligned(uppers, 'uppers'), aligned(lowers, 'lowers')];
  // Feet of the parts that end at ground on their own: one height, each side of the supplies for itself.
  strips.forEach((strip, i) => {
    if (
      strip.form !== 'column' ||
      endKind(strip, strip.nodes.length - 1, circuit) === 'rail' ||
      endKind(strip, strip.nodes.length - 1, circuit) === 'joint'
    )
      return;
    system.equal(upperRow(i, strip.nodes.length - 1), 'feet', usual, 'bottom');
  });
  strips.forEach((strip, i) => {
    if (strip.form !== 'column' || strip.role !== 'load') return;
    system.equal(bodyRow(i, strip.bodies.length - 1), 'loads', usual, 'bottom');
  });

  const bottom = Math.max(usualHeight, system.at('bottom'));
  let y = system.settle(
    new Map([
      ['top', 0],
      ['bottom', bottom],
    ]),
    60,
  );
  for (let round = 0; round < 12; round++) {
    if (!separate(strips, links, level, y, system, usualHeight)) break;
    y = system.settle(
      new Map([
        ['top', 0],
        ['bottom', Math.max(bottom, system.at('bottom'))],
      ]),
      60,
    );
  }
  const height = Math.max(bottom, system.at('bottom'));
  const shifted = new Map([...y].map(([name, value]) => [name, Math.round(value) + RAIL_Y]));
  return { links, level, touches, facing, y: shifted, bottom: Math.round(height) + RAIL_Y, ranks: ranks.filter((r) => r.length > 1) };
}
