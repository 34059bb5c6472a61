/** Outlines of what is drawn, as far as texts must keep off them. */
import { square } from '../numerics/elementary.ts';
import { halfLength } from './elements.ts';
import { box } from './geometry.ts';
import type { ArrowSlot, Box, DrawnSymbol, Point } from './plan.ts';

/** A box, or a disc inside it where `round` is given. */
export interface Shape {
  area: Box;
  round?: { centre: Point; radius: number };
}

const ENVELOPE = 21;

export function shapesOf(s: DrawnSymbol): Shape[] {
  const { x, y } = s.at;
  if (s.kind === 'npn' || s.kind === 'pnp') {
    const centre = { x: x + (s.facing === 'left' ? -10 : 10), y };
    return [{ area: box(centre.x - ENVELOPE, y - ENVELOPE, centre.x + ENVELOPE, y + ENVELOPE), round: { centre, radius: ENVELOPE } }];
  }
  if (s.kind === 'generator' || s.kind === 'voltage' || s.kind === 'current') {
    const disc: Shape = { area: s.body, round: { centre: s.at, radius: 16 } };
    if (s.kind === 'generator') return [disc];
    const sign = s.firstLeads ? 1 : -1;
    const at = (across: number, along: number): Point =>
      s.upright ? { x: x + across, y: y + sign * along } : { x: x + sign * along, y: y + across };
    if (s.kind === 'voltage') {
      const plus = at(-11, -20);
      return [disc, { area: box(plus.x - 3.5, plus.y - 3.5, plus.x + 3.5, plus.y + 3.5) }];
    }
    const [tail, tip] = [at(-22, -12), at(-22, 12)];
    return [
      disc,
      { area: box(Math.min(tail.x, tip.x) - 3, Math.min(tail.y, tip.y) - 3, Math.max(tail.x, tip.x) + 3, Math.max(tail.y, tip.y) + 3) },
    ];
  }
  const shapes: Shape[] = [{ area: s.body }];
  if (s.polarized) {
    const p = plusAt(s);
    shapes.push({ area: box(p.x - 3.5, p.y - 3.5, p.x + 3.5, p.y + 3.5) });
  }
  return shapes;
}

/** Middle of the plus sign of a polarised capacitor. */
export function plusAt(s: DrawnSymbol): Point {
  const out = halfLength('capacitor') + 4.7;
  const side = s.firstLeads ? -1 : 1;
  return s.upright ? { x: s.at.x + 10, y: s.at.y + side * out } : { x: s.at.x + side * (out - 0.2), y: s.at.y - 10 };
}

export const ARROW_LENGTH = 30;
export function arrowBox(a: ArrowSlot): Box {
  const along = ARROW_LENGTH / 2;
  const across = 8.5;
  return a.direction === 'down' || a.direction === 'up'
    ? box(a.at.x - across, a.at.y - along, a.at.x + across, a.at.y + along)
    : box(a.at.x - along, a.at.y - across, a.at.x + along, a.at.y + across);
}

export function boxMeets(b: Box, s: Shape): boolean {
  if (!(b.left < s.area.right && s.area.left < b.right && b.top < s.area.bottom && s.area.top < b.bottom)) return false;
  if (!s.round) return true;
  const nearX = Math.max(b.left, Math.min(s.round.centre.x, b.right));
  const nearY = Math.max(b.top, Math.min(s.round.centre.y, b.bottom));
  return square(nearX - s.round.centre.x) + square(nearY - s.round.centre.y) < square(s.round.radius);
}
