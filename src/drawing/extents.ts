/** What a strip takes up about its own vertical line, once its heights are known: for the spacing of columns. */
import { type Circuit, type Element, halfLength, halfWidth, isInner, isTransistor } from './elements.ts';
import { box, overlap } from './geometry.ts';
import { bodyRow, lowerRow, upperRow } from './joins.ts';
import type { Strip } from './legs.ts';
import { type Box, FACE, LINE, type Span } from './plan.ts';
import { endKind, hasReading, type Rows } from './rows.ts';
import type { TextMetrics } from './text.ts';

/** From the leg to the text right of an upright part. */
export const LABEL_OFFSET = 13;
/** From the leg to the name of a device, on the side of the envelope's bulge away from the base. */
export const DEVICE_OFFSET = 17;
export const READING_RESERVE = '00.0 mA';

export function widthOf(metrics: TextMetrics, lines: Span[][]): number {
  return Math.max(
    0,
    ...lines.map((line) => line.reduce((sum, span) => sum + metrics.width(span.text, FACE[span.role].face, FACE[span.role].size), 0)),
  );
}

/** Body of an element about its centre. */
export function bodyBox(e: Element, upright: boolean, facing: 'left' | 'right'): Box {
  const along = halfLength(e.kind);
  if (isTransistor(e)) return facing === 'left' ? box(-31, -21, 11, 21) : box(-11, -21, 31, 21);
  const across = halfWidth(e.kind);
  if (e.kind === 'speaker') return upright ? box(-6, -22, 17, 22) : box(-22, -17, 22, 6);
  const led = e.kind === 'led' ? 12 : 0;
  if (e.kind === 'trimmer') return facing === 'left' ? box(-17, -along, across, along) : box(-across, -along, 17, along);
  return upright ? box(-across - led, -along, across, along) : box(-along, -across - led, along, across);
}

export interface Part {
  area: Box;
  kind: 'body' | 'label' | 'wire' | 'lead';
}

/** Rectangles relative to the strip's x; heights are final. */
export function extentsOf(strips: Strip[], i: number, rows: Rows, circuit: Circuit, metrics: TextMetrics, tight: number): Part[] {
  const strip = strips[i];
  const at = (name: string): number => rows.y.get(name) ?? 0;
  const parts: Part[] = [];
  const reading = metrics.width(READING_RESERVE, 'bold', 14);
  if (strip.form === 'flat') {
    const y = at(bodyRow(i, 0));
    if (strip.body.kind === 'end') return [{ kind: 'body', area: box(-7, y - 4, 7, y + 4) }];
    const body = bodyBox(strip.body, false, 'left');
    const half = halfLength(strip.body.kind);
    parts.push({ kind: 'body', area: box(body.left, y + body.top, body.right, y + body.bottom) });
    parts.push({ kind: 'lead', area: box(-half - 14, y - 1, half + 14, y + 1) });
    const one = widthOf(metrics, [
      strip.body.lines.flatMap((line, k) => (k === 0 ? line : [{ role: 'value', text: ' ' } as Span, ...line])),
    ]);
    const two = widthOf(metrics, strip.body.lines);
    const wide = tight >= 2 ? two : one;
    parts.push({ kind: 'label', area: box(-wide / 2, y + body.bottom + 1, wide / 2, y + body.bottom + 3 + (tight >= 2 ? 2 : 1) * LINE) });
    return parts;
  }
  const last = strip.nodes.length - 1;
  parts.push({ kind: 'wire', area: box(0, at(upperRow(i, 0)), 0, at(lowerRow(i, last))) });
  strip.bodies.forEach((e, k) => {
    const y = at(bodyRow(i, k));
    const facing = rows.facing.get(`${i}.${k}`) ?? 'left';
    const body = bodyBox(e, true, facing);
    parts.push({ kind: 'body', area: box(body.left, y + body.top, body.right, y + body.bottom) });
    if (e.control !== undefined)
      parts.push({
        kind: 'lead',
        area: facing === 'left' ? box(body.left - 10, y - 1, body.left, y + 1) : box(body.right, y - 1, body.right + 10, y + 1),
      });
    const width = widthOf(metrics, e.lines);
    if (e.lines.length > 0) {
      const leftSide =
        strip.role === 'bootstrap' ||
        e.kind === 'speaker' ||
        (isTransistor(e) && facing === 'right') ||
        (e.kind === 'trimmer' && facing === 'right');
      const offset = isTransistor(e) ? DEVICE_OFFSET : e.kind === 'generator' ? 18 : e.kind === 'capacitor' ? 18 : LABEL_OFFSET;
      parts.push({
        kind: 'label',
        area: leftSide ? box(-offset - width, y - LINE, -offset, y + LINE + 2) : box(offset, y - LINE, offset + width, y + LINE + 2),
      });
    }
    if (e.owner === 'load')
      parts.push({
        kind: 'body',
        area:
          e.kind === 'speaker'
            ? box(-15 - widthOf(metrics, e.lines) - 4, y - 29, 22, y + 29)
            : box(-Math.max(14, body.right + 8), y - 29, LABEL_OFFSET + width + 6, y + 29),
      });
  });
  for (const k of [0, last]) {
    const y = at(upperRow(i, k));
    const kind = endKind(strip, k, circuit);
    if (kind === 'earth' || kind === 'terminal')
      parts.push({ kind: 'body', area: k === 0 ? box(-10, y - 6, 34, y + 14) : box(-10, y - 4, 10, y + 14) });
    if (hasReading(strip, k, circuit))
      parts.push({ kind: 'label', area: box(-6, k === 0 ? y + 14 : y - 46, LABEL_OFFSET + reading, k === 0 ? y + 46 : y - 12) });
  }
  strip.nodes.forEach((node, k) => {
    if (k > 0 && k < last && circuit.terminals.has(node) && !isInner(node))
      parts.push({ kind: 'body', area: box(0, at(upperRow(i, k)), 34, at(upperRow(i, k)) + 22) });
  });
  return parts;
}

/** Distance that two strips' lines keep because of what stands about them. */
export function spacing(left: Part[], right: Part[]): number {
  let least = 0;
  for (const a of left) {
    for (const b of right) {
      const margin =
        a.kind === 'wire' && b.kind === 'wire'
          ? 14
          : a.kind === 'lead' && b.kind === 'lead'
            ? 0
            : a.kind === 'label' && b.kind === 'wire'
              ? 6
              : 8;
      const near = box(0, a.area.top - 3, 1, a.area.bottom + 3);
      if (!overlap(near, box(0, b.area.top - 0.01, 1, b.area.bottom + 0.01))) continue;
      least = Math.max(least, a.area.right - b.area.left + margin);
    }
  }
  return least;
}
