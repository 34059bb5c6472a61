/** Small facts about points, boxes and straight conductors. */
import type { Box, Point, Wire } from './plan.ts';

export const EPSILON = 1e-6;

export const box = (left: number, top: number, right: number, bottom: number): Box => ({ left, top, right, bottom });
export const grown = (b: Box, by: number): Box => box(b.left - by, b.top - by, b.right + by, b.bottom + by);
export const shifted = (b: Box, x: number, y: number): Box => box(b.left + x, b.top + y, b.right + x, b.bottom + y);
export const overlap = (a: Box, b: Box): boolean =>
  a.left < b.right - EPSILON && b.left < a.right - EPSILON && a.top < b.bottom - EPSILON && b.top < a.bottom - EPSILON;
export const union = (a: Box, b: Box): Box =>
  box(Math.min(a.left, b.left), Math.min(a.top, b.top), Math.max(a.right, b.right), Math.max(a.bottom, b.bottom));
export const boxOfWire = (w: Wire): Box =>
  box(Math.min(w.from.x, w.to.x), Math.min(w.from.y, w.to.y), Math.max(w.from.x, w.to.x), Math.max(w.from.y, w.to.y));
export const isLevel = (w: Wire): boolean => Math.abs(w.from.y - w.to.y) < EPSILON;
export const lengthOf = (w: Wire): number => Math.abs(w.from.x - w.to.x) + Math.abs(w.from.y - w.to.y);
export const samePoint = (a: Point, b: Point): boolean => Math.abs(a.x - b.x) < EPSILON && Math.abs(a.y - b.y) < EPSILON;

/** Whether a point lies on a straight conductor, ends included. */
export function liesOn(p: Point, w: Wire): boolean {
  const b = boxOfWire(w);
  return p.x >= b.left - EPSILON && p.x <= b.right + EPSILON && p.y >= b.top - EPSILON && p.y <= b.bottom + EPSILON;
}

/** Directions as bits: up, right, down, left. */
export const UP = 1;
export const RIGHT = 2;
export const DOWN = 4;
export const LEFT = 8;

/** Directions in which conductors leave a point. */
export function leaving(p: Point, wires: readonly Wire[]): number {
  let bits = 0;
  for (const w of wires) {
    if (!liesOn(p, w)) continue;
    const b = boxOfWire(w);
    if (b.right - b.left > EPSILON) {
      if (p.x < b.right - EPSILON) bits |= RIGHT;
      if (p.x > b.left + EPSILON) bits |= LEFT;
    }
    if (b.bottom - b.top > EPSILON) {
      if (p.y < b.bottom - EPSILON) bits |= DOWN;
      if (p.y > b.top + EPSILON) bits |= UP;
    }
  }
  return bits;
}

export const count = (bits: number): number => (bits & 1) + ((bits >> 1) & 1) + ((bits >> 2) & 1) + ((bits >> 3) & 1);
