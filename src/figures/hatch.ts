/** The patterns of causes, as lines and dots within a rectangle: off, saturated, breakdown. */
import type { Dot, Shape } from './picture.ts';
import type { Pattern } from './scene.ts';

export interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

const OFF_PITCH = 10;
const CROSS_PITCH = 10;
const DOT_PITCH = 8;

/** Lines x + y = c ('/' on a screen) within the box, `pitch` apart along x, in register with the page's origin. */
function rising(box: Box, pitch: number): [Dot, Dot][] {
  const lines: [Dot, Dot][] = [];
  const first = Math.ceil((box.left + box.top) / pitch) * pitch;
  for (let c = first; c <= box.right + box.bottom; c += pitch) {
    const x0 = Math.max(box.left, c - box.bottom);
    const x1 = Math.min(box.right, c - box.top);
    if (x1 > x0)
      lines.push([
        [x0, c - x0],
        [x1, c - x1],
      ]);
  }
  return lines;
}

/** The other diagonal: mirror the box, draw, mirror back. */
function falling(box: Box, pitch: number): [Dot, Dot][] {
  const mirrored = rising({ left: -box.right, right: -box.left, top: box.top, bottom: box.bottom }, pitch);
  return mirrored.map(([a, b]) => [
    [-a[0], a[1]],
    [-b[0], b[1]],
  ]);
}

function dots(box: Box): Dot[] {
  const found: Dot[] = [];
  let row = 0;
  for (let y = box.top + DOT_PITCH / 2; y < box.bottom; y += DOT_PITCH, row++) {
    for (let x = box.left + DOT_PITCH / 2 + (row % 2 ? DOT_PITCH / 2 : 0); x < box.right; x += DOT_PITCH) found.push([x, y]);
  }
  return found;
}

/** The shapes that fill `box` with a pattern; also the swatch beside the word *Cause*. */
export function hatch(box: Box, pattern: Pattern, part?: string): Shape[] {
  const ground: Dot[] = [
    [box.left, box.top],
    [box.right, box.top],
    [box.right, box.bottom],
    [box.left, box.bottom],
  ];
  switch (pattern) {
    case 'off':
      return [
        { kind: 'area', points: ground, fill: 'band', part },
        { kind: 'lines', paths: rising(box, OFF_PITCH), stroke: { tone: 'hatch', width: 1.3 }, part },
      ];
    case 'saturated':
      return [
        { kind: 'lines', paths: [...rising(box, CROSS_PITCH), ...falling(box, CROSS_PITCH)], stroke: { tone: 'hatch2', width: 0.9 }, part },
      ];
    case 'breakdown':
      return [
        { kind: 'area', points: ground, fill: 'band', part },
        { kind: 'discs', centres: dots(box), radius: 1.1, fill: 'hatch' },
      ];
  }
}
