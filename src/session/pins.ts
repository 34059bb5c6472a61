/**
 * Where small waveforms can be pinned on a drawing: the free rectangle nearest to the node, above its wire, with a
 * straight leader down (or up) to it. A function of the plan alone, so that nothing moves while a knob turns.
 */
import type { Box, Plan, Point } from '../drawing/plan.ts';

export interface Pinned {
  node: string;
  box: Box;
  /** The leader's ends: on the box, and on the node's wire. */
  from: Point;
  to: Point;
}

/** Room kept from everything drawn, px; from wires. */
const CLEAR = 6;
const CLEAR_OF_WIRES = 5;
const GRID = 4;
/** Distance of the places on a wire that a leader may end at, px. */
const ALONG = 12;
/** Height of the name above the box. */
const NAME = 18;

function meets(a: Box, b: Box, room: number): boolean {
  return a.left < b.right + room && b.left - room < a.right && a.top < b.bottom + room && b.top - room < a.bottom;
}

function obstaclesOf(plan: Plan): { boxes: Box[]; wires: Box[] } {
  const boxes: Box[] = plan.symbols.map((symbol) => symbol.body);
  for (const label of plan.labels) if (!label.onPointing) boxes.push(label.box);
  for (const arrow of plan.arrows) {
    const upright = arrow.direction === 'down' || arrow.direction === 'up';
    boxes.push({
      left: arrow.at.x - (upright ? 7 : 15),
      right: arrow.at.x + (upright ? 7 : 15),
      top: arrow.at.y - (upright ? 15 : 7),
      bottom: arrow.at.y + (upright ? 15 : 7),
    });
  }
  for (const frame of plan.frames) boxes.push(frame.box);
  const wires = plan.wires.map((wire) => ({
    left: Math.min(wire.from.x, wire.to.x),
    right: Math.max(wire.from.x, wire.to.x),
    top: Math.min(wire.from.y, wire.to.y),
    bottom: Math.max(wire.from.y, wire.to.y),
  }));
  for (const rail of plan.rails) wires.push({ left: rail.from, right: rail.to, top: rail.y, bottom: rail.y });
  for (const terminal of plan.terminals)
    boxes.push({ left: terminal.at.x - 4, right: terminal.at.x + 4, top: terminal.at.y - 4, bottom: terminal.at.y + 4 });
  return { boxes, wires };
}

/** Points of a node's level wires, every few px. */
function pointsOf(plan: Plan, node: string): Point[] {
  const points: Point[] = [];
  for (const wire of plan.wires) {
    if (wire.node !== node) continue;
    if (wire.from.y === wire.to.y) {
      const [left, right] = [Math.min(wire.from.x, wire.to.x), Math.max(wire.from.x, wire.to.x)];
      for (let x = left; x <= right; x += ALONG) points.push({ x, y: wire.from.y });
      points.push({ x: right, y: wire.from.y });
    } else points.push(wire.from, wire.to);
  }
  for (const terminal of plan.terminals) if (terminal.node === node) points.push(terminal.at);
  return points;
}

/**
 * Places for the nodes' waveforms in the order given, each clear of the drawing and of the earlier ones; a node without
 * a free place is left out.
 * @param size px of the box without its name
 */
export function pinsFor(plan: Plan, nodes: readonly string[], size: { width: number; height: number }, right: number): Pinned[] {
  const { boxes, wires } = obstaclesOf(plan);
  const placed: Pinned[] = [];
  for (const node of nodes) {
    const points = pointsOf(plan, node);
    let best: { pin: Pinned; cost: number } | null = null;
    for (let top = 0; top + NAME + size.height <= plan.height; top += GRID) {
      for (let left = 0; left + size.width <= right; left += GRID) {
        const whole: Box = { left, right: left + size.width, top, bottom: top + NAME + size.height };
        if (boxes.some((box) => meets(whole, box, CLEAR)) || wires.some((wire) => meets(whole, wire, CLEAR_OF_WIRES))) continue;
        if (placed.some((pin) => meets(whole, { ...pin.box, top: pin.box.top - NAME }, 2 * CLEAR))) continue;
        for (const to of points) {
          if (to.x < left + 6 || to.x > whole.right - 6) continue;
          const above = to.y >= whole.bottom;
          const from: Point = { x: to.x, y: above ? whole.bottom : whole.top };
          const length = Math.abs(to.y - from.y);
          const leader: Box = { left: to.x, right: to.x, top: Math.min(from.y, to.y), bottom: Math.max(from.y, to.y) };
          const through =
            boxes.filter((box) => meets(leader, box, 1)).length +
            placed.filter((pin) => meets(leader, { ...pin.box, top: pin.box.top - NAME }, 2)).length;
          const crossed = wires.filter((wire) => meets(leader, wire, -0.5)).length;
          if (through > 0) continue;
          const cost = length + 60 * crossed + (above ? 0 : 40) + 0.15 * Math.abs((left + whole.right) / 2 - to.x);
          if (best === null || cost < best.cost) best = { pin: { node, box: { ...whole, top: top + NAME }, from, to }, cost };
        }
      }
    }
    if (best !== null) placed.push(best.pin);
  }
  return placed;
}
