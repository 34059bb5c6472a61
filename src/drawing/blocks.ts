/** Rows that blocks demand: a pair mirrored about its output, feedback on a row of its own. */
import { type Circuit, isTransistor } from './elements.ts';
import { bodyRow, lowerRow, type Side, upperRow } from './joins.ts';
import type { Strip } from './legs.ts';
import type { Patterns } from './patterns.ts';
import type { Differences } from './system.ts';

/** A complementary pair stands mirrored about its output row. */
export function mirrorPairs(
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
export function feedbackFlats(strips: Strip[], circuit: Circuit, facing: Map<string, Side>): Map<number, { column: number; body: number }> {
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
export function feedbackRow(strips: Strip[], circuit: Circuit, system: Differences, flat: number, j: number, k: number): void {
  const column = strips[j];
  if (column.form !== 'column') return;
  const row = bodyRow(flat, 0);
  const clear = [{ from: row, to: bodyRow(j, k), gap: 44 }];
  if (!circuit.terminals.has(column.nodes[k])) clear.push({ from: lowerRow(j, k), to: row, gap: 34 });
  system.tryAll(clear);
}
