/** Dimension lines, the page's own mark: extension lines, a line with two arrowheads, the figure beside it. */
import type { Dot, Shape } from './picture.ts';

const ARROW_LENGTH = 8;
const ARROW_HALF = 2.6;
/** Arrows go outside where the distance leaves no room for them inside. */
const ROOM_FOR_ARROWS = 2 * ARROW_LENGTH + 6;
const TAIL = 10;
const OVERSHOOT = 4;

function arrow(x: number, tip: number, pointing: 1 | -1): Shape {
  const back = tip - pointing * ARROW_LENGTH;
  const points: Dot[] = [
    [x, tip],
    [x - ARROW_HALF, back],
    [x + ARROW_HALF, back],
  ];
  return { kind: 'area', points, fill: 'ink2' };
}

/**
 * A vertical dimension at `x` from `y0` to `y1`. A short one gets its arrows outside, pointing at each other; only one
 * of them where the other end (`shared`) belongs to a neighbouring dimension too.
 */
export function dimension(x: number, y0: number, y1: number, part?: string, shared?: number): Shape[] {
  const top = Math.min(y0, y1);
  const bottom = Math.max(y0, y1);
  if (bottom - top >= ROOM_FOR_ARROWS) {
    return [
      {
        kind: 'lines',
        paths: [
          [
            [x, top + 1],
            [x, bottom - 1],
          ],
        ],
        stroke: { tone: 'ink2', width: 1 },
        part,
      },
      arrow(x, top, -1),
      arrow(x, bottom, 1),
    ];
  }
  const over = ARROW_LENGTH + TAIL;
  const shapes: Shape[] = [];
  if (shared !== top)
    shapes.push(
      {
        kind: 'lines',
        paths: [
          [
            [x, top - over],
            [x, top],
          ],
        ],
        stroke: { tone: 'ink2', width: 1 },
        part,
      },
      arrow(x, top, 1),
    );
  if (shared !== bottom)
    shapes.push(
      {
        kind: 'lines',
        paths: [
          [
            [x, bottom],
            [x, bottom + over],
          ],
        ],
        stroke: { tone: 'ink2', width: 1 },
        part,
      },
      arrow(x, bottom, -1),
    );
  return shapes;
}

/** An extension line at height `y` from `from` past the dimension at `to`. */
export function extension(y: number, from: number, to: number): Shape {
  return {
    kind: 'lines',
    paths: [
      [
        [from, y],
        [to + OVERSHOOT, y],
      ],
    ],
    stroke: { tone: 'ink2', width: 0.8 },
  };
}
