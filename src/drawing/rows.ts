/** Heights: one unknown per row, drawings.md 4. */
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

/** A complementary pair stands mirrored about its output row. */
function mirrorPairs(
  strips: Strip[],
  patterns: Patterns,
  system: Differences,
  place: (e: { id: string }) => string | null,
  usualHeight: number,
): void {
  for (const { upper, lower, middle } of patterns.complementary) {
    const [a, b] = [place(upper), place(lower)];
    const i = strips.findIndex(
      (s) => s.form === 'column' && s.bodies.some((e) => e.id === upper.id) && s.bodies.some((e) => e.id === lower.id),
    );
    const strip = strips[i];
    if (!a || !b || !strip || strip.form !== 'column') continue;
    const k = strip.nodes.indexOf(middle);
    const [u, l] = [upperRow(i, k), lowerRow(i, k)];
    const mirror = (gap: number): { from: string; to: string; gap: number }[] => [
      { from: a, to: u, gap },
      { from: u, to: a, gap: -gap },
      { from: l, to: b, gap },
      { from: b, to: l, gap: -gap },
    ];
    const before = Math.max(usualHeight, system.at('bottom'));
    // Too short contradicts what stands between; the shortest that fits is found by halving.
    let low = 40;
    let high = 400;
    while (high - low > 1) {
      const middleGap = (low + high) >> 1;
      if (system.fits(mirror(middleGap))) high = middleGap;
      else low = middleGap;
    }
    const done = system.tryAll(mirror(high));
    // The string between the bases shares the axis.
    strips.forEach((other, j) => {
      if (!done || j === i || other.form !== 'column' || upper.control === undefined || lower.control === undefined) return;
      const from = other.nodes.indexOf(upper.control);
      const to = other.nodes.indexOf(lower.control);
      if (from < 0 || to !== from + 2) return;
      system.equal(upperRow(j, from + 1), u, before, 'bottom');
    });
  }
}

/** Level parts that feed a base from behind its device, by strip, with that device. */
function feedbackFlats(strips: Strip[], circuit: Circuit, facing: Map<string, Side>): Map<number, { column: number; body: number }> {
  const found = new Map<number, { column: number; body: number }>();
  strips.forEach((flat, i) => {
    if (flat.form !== 'flat' || flat.body.kind === 'end') return;
    strips.forEach((column, j) => {
      if (column.form !== 'column' || found.has(i)) return;
      column.bodies.forEach((b, k) => {
        if (!isTransistor(b) || b.control === undefined || circuit.terminals.has(b.control)) return;
        const side = facing.get(`${j}.${k}`);
        if ((flat.left === b.control && j < i && side === 'left') || (flat.right === b.control && j > i && side === 'right'))
          found.set(i, { column: j, body: k });
      });
    });
  });
  return found;
}

/** Feedback that passes its device runs on a row of its own, between the device and the joint above it. */
function feedbackRow(strips: Strip[], circuit: Circuit, system: Differences, flat: number, j: number, k: number): void {
  const column = strips[j];
  if (column.form !== 'column') return;
  const row = bodyRow(flat, 0);
  const clear = [{ from: row, to: bodyRow(j, k), gap: 44 }];
  if (!circuit.terminals.has(column.nodes[k])) clear.push({ from: lowerRow(j, k), to: row, gap: 34 });
  system.tryAll(clear);
}

interface Span {
  node: string;
  row: string;
  from: number;
  to: number;
  above: number;
  below: number;
}

/** Pushes apart what would lie on top of one another on a common stretch; true if anything was pushed. */
function separate(
  strips: Strip[],
  links: Link[],
  level: Set<Link>,
  y: Map<string, number>,
  system: Differences,
  usualHeight: number,
): boolean {
  const spans: Span[] = [];
  for (const link of links) {
    if (!level.has(link) || link.from.right === null) continue;
    spans.push({ node: link.node, row: link.from.right, from: link.from.strip, to: link.to.strip, above: 0, below: 0 });
  }
  strips.forEach((strip, i) => {
    if (strip.form === 'flat')
      spans.push({ node: `body ${strip.id}`, row: bodyRow(i, 0), from: i - 0.5, to: i + 0.5, above: 9, below: 20 });
  });
  let pushed = false;
  const push = (a: string, b: string, gap: number): void => {
    // `a` above `b` if it is so already; the other way round only when that contradicts.
    const ya = y.get(a) ?? 0;
    const yb = y.get(b) ?? 0;
    const [first, second] = ya <= yb ? [a, b] : [b, a];
    const total = Math.max(usualHeight, system.at('bottom'));
    const ways = [
      [first, second],
      [second, first],
    ];
    for (const ceiling of [total, Number.POSITIVE_INFINITY]) {
      for (const [from, to] of ways) {
        if (system.tryAll([{ from, to, gap }], ceiling, 'bottom')) {
          pushed = true;
          return;
        }
      }
    }
  };
  for (let p = 0; p < spans.length; p++) {
    for (let q = p + 1; q < spans.length; q++) {
      const [a, b] = [spans[p], spans[q]];
      if (a.node === b.node || a.row === b.row || a.from >= b.to || b.from >= a.to) continue;
      const gap = 16 + Math.max(a.below, b.below) * 0.5 + Math.max(a.above, b.above);
      if (Math.abs((y.get(a.row) ?? 0) - (y.get(b.row) ?? 0)) < gap - 0.6) push(a.row, b.row, gap);
    }
  }
  for (const span of spans) {
    for (let m = Math.floor(span.from) + 1; m < span.to; m++) {
      const strip = strips[m];
      if (strip?.form !== 'column') continue;
      strip.bodies.forEach((b, k) => {
        const reach = (isTransistor(b) ? 21 : halfLength(b.kind)) + 9;
        const row = bodyRow(m, k);
        if (row !== span.row && Math.abs((y.get(row) ?? 0) - (y.get(span.row) ?? 0)) < reach - 0.6) push(row, span.row, reach);
      });
      strip.nodes.forEach((node, k) => {
        if (node === span.node) return;
        const linked = links.some(
          (l) =>
            (l.from.strip === m && l.from.at === k && l.from.kind !== 'control') ||
            (l.to.strip === m && l.to.at === k && l.to.kind !== 'control'),
        );
        if (!linked) return;
        for (const row of [upperRow(m, k), lowerRow(m, k)]) {
          if (Math.abs((y.get(row) ?? 0) - (y.get(span.row) ?? 0)) < 13.4) push(row, span.row, 14);
        }
      });
    }
  }
  return pushed;
}
