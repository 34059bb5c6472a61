/** Where labels go: each has several places, the first that touches nothing wins, else the least crowded one. */
import type { Box } from './hatch.ts';
import type { Dot } from './picture.ts';

export interface Place {
  /** Left edge of the text box. */
  left: number;
  /** Top of the text box. */
  top: number;
}

/** What is already on a plot: boxes of text and points of traces. */
export class Occupancy {
  readonly #boxes: Box[] = [];
  readonly #points: Dot[] = [];
  readonly #grounds: Box[] = [];

  addBox(box: Box): void {
    this.#boxes.push(box);
  }

  /** A patterned ground: text may stand on it, but better beside it. */
  addGround(box: Box): void {
    this.#grounds.push(box);
  }

  /** A trace: its points, and points between those that lie far apart. */
  addPath(path: readonly Dot[]): void {
    for (let k = 0; k < path.length; k++) {
      this.#points.push(path[k]);
      if (k === 0) continue;
      const [x0, y0] = path[k - 1];
      const [x1, y1] = path[k];
      const steps = Math.floor(Math.max(Math.abs(x1 - x0), Math.abs(y1 - y0)) / 4);
      for (let j = 1; j < steps; j++) this.#points.push([x0 + ((x1 - x0) * j) / steps, y0 + ((y1 - y0) * j) / steps]);
    }
  }

  /** How much a box touches: points of traces within it, and boxes at ten each. */
  crowd(box: Box): number {
    let count = 0;
    for (const [x, y] of this.#points) {
      if (x > box.left - 2 && x < box.right + 2 && y > box.top && y < box.bottom) count += 1;
    }
    for (const other of this.#boxes) {
      if (box.left < other.right + 3 && box.right > other.left - 3 && box.top < other.bottom && box.bottom > other.top) count += 10;
    }
    if (this.#grounds.some((ground) => box.left < ground.right && box.right > ground.left)) count += 3;
    return count;
  }

  /** The best of some places for a box of `width` by `height` within `bounds`; takes the place. */
  place(places: readonly Place[], width: number, height: number, bounds: Box): { place: Place; clear: boolean } {
    let best: Place = places[0];
    let least = Infinity;
    for (const place of places) {
      const box = { left: place.left, top: place.top, right: place.left + width, bottom: place.top + height };
      const outside = box.left < bounds.left || box.right > bounds.right || box.top < bounds.top || box.bottom > bounds.bottom;
      const crowd = this.crowd(box) + (outside ? 25 : 0);
      if (crowd < least) {
        least = crowd;
        best = place;
        if (crowd === 0) break;
      }
    }
    this.addBox({ left: best.left, top: best.top, right: best.left + width, bottom: best.top + height });
    return { place: best, clear: least === 0 };
  }
}

/**
 * Moves centres apart so that each keeps `gap` from the next, within low..high, as near to where they were as the order
 * allows. Returns the new centres in the order given.
 */
export function spreadOut(centres: readonly number[], gap: number, low: number, high: number): number[] {
  const order = centres.map((_, k) => k).sort((a, b) => centres[a] - centres[b]);
  const moved = [...centres];
  let floor = low;
  for (const k of order) {
    moved[k] = Math.max(moved[k], floor);
    floor = moved[k] + gap;
  }
  let ceiling = high;
  for (const k of [...order].reverse()) {
    moved[k] = Math.min(moved[k], ceiling);
    ceiling = moved[k] - gap;
  }
  return moved;
}
