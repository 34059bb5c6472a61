/** Keeps rows apart that would run into one another or over a body. */
import { halfLength, isTransistor } from './elements.ts';
import { bodyRow, type Link, lowerRow, upperRow } from './joins.ts';
import type { Strip } from './legs.ts';
import type { Differences } from './system.ts';

interface Span {
  node: string;
  row: string;
  from: number;
  to: number;
  above: number;
  below: number;
}

/** Pushes apart what would lie on top of one another on a common stretch; true if anything was pushed. */
export function separate(
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
