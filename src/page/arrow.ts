/** A current as a filled arrow on its conductor: 30 long, its shaft 12 wide at the largest current of the period. */
import type { ArrowSlot } from '../drawing/plan.ts';

const LENGTH = 30;
const WIDEST = 12;
const THINNEST = 1.5;

/** @param share of the largest current, negative where it flows against the slot's direction */
export function arrowPath(slot: Pick<ArrowSlot, 'at' | 'direction'>, share: number): string {
  const shaft = Math.max(THINNEST, Math.min(1, Math.abs(share)) * WIDEST) / 2;
  const head = shaft + 2.6;
  const long = Math.min(12, 5.5 + shaft);
  const half = LENGTH / 2;
  // Along the conductor first, across it second.
  const points: [number, number][] = [
    [-half, -shaft],
    [half - long, -shaft],
    [half - long, -head],
    [half, 0],
    [half - long, head],
    [half - long, shaft],
    [-half, shaft],
  ];
  const way = { right: [1, 0], left: [-1, 0], down: [0, 1], up: [0, -1] }[slot.direction];
  const sign = share < 0 ? -1 : 1;
  const [dx, dy] = [way[0] * sign, way[1] * sign];
  return `${points.map(([along, across], index) => `${index === 0 ? 'M' : 'L'}${round(slot.at.x + along * dx - across * dy)} ${round(slot.at.y + along * dy + across * dx)}`).join('')}Z`;
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}
