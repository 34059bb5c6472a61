/**
 * Finds the way of a conductor that no common row gave: level and upright pieces, cheapest by the weights of the
 * score, never over a body, never along another conductor, never making a joint of four.
 */
import { box, boxOfWire, count, DOWN, EPSILON, grown, isLevel, LEFT, leaving, liesOn, overlap, RIGHT, samePoint, UP } from './geometry.ts';
import type { Box, Point, Wire } from './plan.ts';

const BODY_MARGIN = 7;
/** Least distance of parallel conductors, and of a crossing from a joint or a corner. */
const LEAST = 6;
const COMFORT = 14;

const COST = { px: 0.012, bend: 6, crossing: 30, near: 5, parallel: 0.06 };

export interface Ground {
  /** Bodies, which no conductor may touch. */
  bodies: Box[];
  wires: Wire[];
  /** Places where a symbol's terminal sits, with the direction of its body. */
  pins: { node: string; at: Point; toBody: number }[];
  frame: Box;
}

/** Whether a straight piece may be drawn as it is: used for wires on a common row. */
export function isFree(ground: Ground, wire: Wire): boolean {
  const area = boxOfWire(wire);
  if (ground.bodies.some((b) => overlap(grown(b, BODY_MARGIN - 0.5), grown(area, 0.1)))) return false;
  for (const other of ground.wires) {
    if (other.node === wire.node) continue;
    if (clash(wire, other)) return false;
  }
  // Joints of one's own node: nowhere more than three.
  const own = [...ground.wires.filter((w) => w.node === wire.node), wire];
  const points = own.flatMap((w) => [w.from, w.to]).filter((p) => liesOn(p, wire));
  for (const w of own)
    if (w !== wire && isLevel(w) !== isLevel(wire))
      points.push(isLevel(wire) ? { x: w.from.x, y: wire.from.y } : { x: wire.from.x, y: w.from.y });
  for (const p of points) {
    if (!liesOn(p, wire)) continue;
    let bits = leaving(p, own);
    for (const pin of ground.pins) if (pin.node === wire.node && samePoint(pin.at, p)) bits |= pin.toBody;
    if (count(bits) > 3) return false;
  }
  return !own.some(
    (w) => w !== wire && isLevel(w) === isLevel(wire) && overlap(grown(boxOfWire(w), 0.2), grown(area, 0.2)) && alongEachOther(w, wire),
  );
}

/** Two pieces of one direction that share more than an end. */
function alongEachOther(a: Wire, b: Wire): boolean {
  const [p, q] = [boxOfWire(a), boxOfWire(b)];
  const shared = isLevel(a) ? Math.min(p.right, q.right) - Math.max(p.left, q.left) : Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
  return shared > EPSILON;
}

/** Whether pieces of two nodes come too close, other than by a clean crossing. */
function clash(a: Wire, b: Wire): boolean {
  const [p, q] = [boxOfWire(a), boxOfWire(b)];
  if (!overlap(grown(p, LEAST - 0.1), q) && !(p.left === p.right && p.top === p.bottom)) return false;
  if (!overlap(grown(p, LEAST - 0.1), grown(q, 0.05))) return false;
  if (isLevel(a) === isLevel(b)) return true;
  const [level, upright] = isLevel(a) ? [p, q] : [q, p];
  const x = upright.left;
  const y = level.top;
  const clean = x - level.left >= LEAST && level.right - x >= LEAST && y - upright.top >= LEAST && upright.bottom - y >= LEAST;
  return !clean;
}

class Heap {
  private readonly keys: number[] = [];
  private readonly values: number[] = [];
  get size(): number {
    return this.keys.length;
  }
  push(key: number, value: number): void {
    let i = this.keys.length;
    this.keys.push(key);
    this.values.push(value);
    while (i > 0) {
      const up = (i - 1) >> 1;
      if (this.keys[up] <= key) break;
      this.keys[i] = this.keys[up];
      this.values[i] = this.values[up];
      i = up;
    }
    this.keys[i] = key;
    this.values[i] = value;
  }
  pop(): number {
    const top = this.values[0];
    const key = this.keys.pop() ?? 0;
    const value = this.values.pop() ?? 0;
    const n = this.keys.length;
    if (n === 0) return top;
    let i = 0;
    for (;;) {
      let down = 2 * i + 1;
      if (down >= n) break;
      if (down + 1 < n && this.keys[down + 1] < this.keys[down]) down++;
      if (this.keys[down] >= key) break;
      this.keys[i] = this.keys[down];
      this.values[i] = this.values[down];
      i = down;
    }
    this.keys[i] = key;
    this.values[i] = value;
    return top;
  }
}

const STEPS = [
  { bit: UP, x: 0, y: -1, back: DOWN },
  { bit: RIGHT, x: 1, y: 0, back: LEFT },
  { bit: DOWN, x: 0, y: 1, back: UP },
  { bit: LEFT, x: -1, y: 0, back: RIGHT },
];

/**
 * Joins `source` to any of `targets`, all of one node. Returns the new pieces, or null where there is no way.
 * `lanes` are further coordinates worth trying.
 */
export function route(ground: Ground, node: string, source: Wire[], targets: Wire[], lanes: { x: number[]; y: number[] }): Wire[] | null {
  let area = [...source, ...targets]
    .map(boxOfWire)
    .reduce((a, b) => box(Math.min(a.left, b.left), Math.min(a.top, b.top), Math.max(a.right, b.right), Math.max(a.bottom, b.bottom)));
  for (const margin of [60, 500]) {
    area = grown(area, margin);
    const found = search(ground, node, source, targets, lanes, area);
    if (found) return found;
  }
  return null;
}

function sortedUnique(values: number[]): number[] {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.filter((v, i) => i === 0 || v - sorted[i - 1] > 0.5);
}

function search(
  ground: Ground,
  node: string,
  source: Wire[],
  targets: Wire[],
  lanes: { x: number[]; y: number[] },
  area: Box,
): Wire[] | null {
  const inside = (v: number, low: number, high: number): boolean => v >= low && v <= high;
  const exactX = [...source, ...targets].flatMap((w) => [w.from.x, w.to.x]);
  const exactY = [...source, ...targets].flatMap((w) => [w.from.y, w.to.y]);
  // Terminals' own coordinates come first, so that rounding of lanes never moves them.
  const merge = (exact: number[], more: number[], low: number, high: number): number[] => {
    const kept = sortedUnique(exact);
    const extra = more.filter((v) => inside(v, low, high) && !kept.some((k) => Math.abs(k - v) <= 0.5));
    return sortedUnique([...kept, ...extra]);
  };
  const xs = merge(exactX, lanes.x, Math.max(area.left, ground.frame.left), Math.min(area.right, ground.frame.right));
  const ys = merge(exactY, lanes.y, Math.max(area.top, ground.frame.top), Math.min(area.bottom, ground.frame.bottom));
  const w = xs.length;
  const h = ys.length;
  const bodies = ground.bodies.map((b) => grown(b, BODY_MARGIN)).filter((b) => overlap(b, grown(area, 1)));
  const others = ground.wires.filter((o) => o.node !== node && overlap(grown(boxOfWire(o), COMFORT), grown(area, 1)));
  const own = ground.wires.filter((o) => o.node === node);
  const ownPins = ground.pins.filter((p) => p.node === node);
  const directions = (p: Point): number => {
    let bits = leaving(p, own);
    for (const pin of ownPins) if (samePoint(pin.at, p)) bits |= pin.toBody;
    return bits;
  };
  const start = new Map<number, number>();
  const goal = new Map<number, number>();
  /** Indices of the lines between two coordinates. */
  const range = (lines: number[], low: number, high: number): [number, number] => {
    let i = 0;
    while (i < lines.length && lines[i] < low) i++;
    let j = i;
    while (j < lines.length && lines[j] <= high) j++;
    return [i, j];
  };
  const mark = (wires: Wire[], into: Map<number, number>): void => {
    for (const wire of wires) {
      const b = boxOfWire(wire);
      const [i0, i1] = range(xs, b.left - EPSILON, b.right + EPSILON);
      const [j0, j1] = range(ys, b.top - EPSILON, b.bottom + EPSILON);
      for (let i = i0; i < i1; i++) for (let j = j0; j < j1; j++) into.set(j * w + i, directions({ x: xs[i], y: ys[j] }));
    }
  };
  mark(source, start);
  mark(targets, goal);
  const ownJoints = own.flatMap((o) => [o.from, o.to]).filter((p) => count(directions(p)) > 2);

  // Cost of the edge to the right of a vertex, and of the one below it; infinite where no conductor may run.
  const across = new Float64Array(w * h);
  const down = new Float64Array(w * h);
  const corner = new Uint8Array(w * h);
  for (let j = 0; j < h; j++) {
    for (let i = 0; i < w; i++) {
      across[j * w + i] = i + 1 < w ? (xs[i + 1] - xs[i]) * COST.px : Number.POSITIVE_INFINITY;
      down[j * w + i] = j + 1 < h ? (ys[j + 1] - ys[j]) * COST.px : Number.POSITIVE_INFINITY;
    }
  }
  /** Adds to every level edge whose line lies in [top, bottom] and whose stretch meets (left, right). */
  const addAcross = (left: number, right: number, top: number, bottom: number, price: (length: number) => number): void => {
    const [j0, j1] = range(ys, top, bottom);
    const i0 = Math.max(0, range(xs, left, left)[0] - 1);
    for (let i = i0; i + 1 < w && xs[i] < right; i++) {
      if (xs[i + 1] <= left) continue;
      const length = Math.min(xs[i + 1], right) - Math.max(xs[i], left);
      for (let j = j0; j < j1; j++) across[j * w + i] += price(length);
    }
  };
  const addDown = (left: number, right: number, top: number, bottom: number, price: (length: number) => number): void => {
    const [i0, i1] = range(xs, left, right);
    const j0 = Math.max(0, range(ys, top, top)[0] - 1);
    for (let j = j0; j + 1 < h && ys[j] < bottom; j++) {
      if (ys[j + 1] <= top) continue;
      const length = Math.min(ys[j + 1], bottom) - Math.max(ys[j], top);
      for (let i = i0; i < i1; i++) down[j * w + i] += price(length);
    }
  };
  const never = (): number => Number.POSITIVE_INFINITY;
  for (const b of bodies) {
    addAcross(b.left, b.right, b.top + EPSILON, b.bottom - EPSILON, never);
    addDown(b.left + EPSILON, b.right - EPSILON, b.top, b.bottom, never);
  }
  const inner = LEAST - EPSILON;
  const wide = COMFORT - EPSILON;
  for (const o of others) {
    const q = boxOfWire(o);
    {
      const [i0, i1] = range(xs, q.left - inner, q.right + inner);
      const [j0, j1] = range(ys, q.top - inner, q.bottom + inner);
      for (let i = i0; i < i1; i++) for (let j = j0; j < j1; j++) corner[j * w + i] = 1;
    }
    if (isLevel(o)) {
      addAcross(q.left - inner, q.right + inner, q.top - inner, q.top + inner, never);
      addAcross(q.left, q.right, q.top - wide, q.top + wide, (length) => length * COST.parallel);
      // Crossed from above: not near its ends.
      addDown(q.left - inner, q.left + inner, q.top - inner, q.top + inner, never);
      addDown(q.right - inner, q.right + inner, q.top - inner, q.top + inner, never);
      addDown(q.left + inner, q.right - inner, q.top - EPSILON, q.top + EPSILON, () => COST.crossing / 2);
      addDown(q.left + inner, q.left + wide, q.top - EPSILON, q.top + EPSILON, () => COST.near / 2);
      addDown(q.right - wide, q.right - inner, q.top - EPSILON, q.top + EPSILON, () => COST.near / 2);
    } else {
      addDown(q.left - inner, q.left + inner, q.top - inner, q.bottom + inner, never);
      addDown(q.left - wide, q.left + wide, q.top, q.bottom, (length) => length * COST.parallel);
      addAcross(q.left - inner, q.left + inner, q.top - inner, q.top + inner, never);
      addAcross(q.left - inner, q.left + inner, q.bottom - inner, q.bottom + inner, never);
      addAcross(q.left - EPSILON, q.left + EPSILON, q.top + inner, q.bottom - inner, () => COST.crossing / 2);
      addAcross(q.left - EPSILON, q.left + EPSILON, q.top + inner, q.top + wide, () => COST.near / 2);
      addAcross(q.left - EPSILON, q.left + EPSILON, q.bottom - wide, q.bottom - inner, () => COST.near / 2);
    }
  }
  const cost = (from: number, to: number): number =>
    to === from + 1 ? across[from] : to === from - 1 ? across[to] : to > from ? down[from] : down[to];
  // A corner or an end too near another conductor is a clash even where no edge crosses it.
  const cornerFree = (v: number): boolean => corner[v] === 0;
  const landing = (v: number): number => {
    const p = { x: xs[v % w], y: ys[Math.floor(v / w)] };
    let sum = 0;
    for (const j of ownJoints) {
      const apart = Math.abs(j.x - p.x) + Math.abs(j.y - p.y);
      if (apart > EPSILON && apart < COMFORT - EPSILON) sum += apart < 8 ? 40 : COST.near;
    }
    return sum;
  };

  // What remains costs at least its length: that steers the search.
  const aim = targets
    .map(boxOfWire)
    .reduce((a, b) => box(Math.min(a.left, b.left), Math.min(a.top, b.top), Math.max(a.right, b.right), Math.max(a.bottom, b.bottom)));
  const remaining = (v: number): number => {
    const px = xs[v % w];
    const py = ys[Math.floor(v / w)];
    return COST.px * (Math.max(0, aim.left - px, px - aim.right) + Math.max(0, aim.top - py, py - aim.bottom));
  };
  const size = w * h * 4;
  const best = new Float64Array(size).fill(Number.POSITIVE_INFINITY);
  const before = new Int32Array(size).fill(-1);
  const closed = new Uint8Array(size);
  const heap = new Heap();
  for (const [v, bits] of start) {
    if (count(bits) > 2) continue;
    for (let d = 0; d < 4; d++) {
      if (bits & STEPS[d].bit) continue;
      // A state is (vertex, direction of arrival); starts pretend to have arrived along the way they leave.
      const s = v * 4 + d;
      const entry = landing(v);
      if (entry < best[s]) {
        best[s] = entry;
        heap.push(entry + remaining(v), s);
      }
    }
  }
  const startBits = start;
  while (heap.size > 0) {
    const s = heap.pop();
    if (closed[s]) continue;
    closed[s] = 1;
    const v = s >> 2;
    const d = s & 3;
    const bits = goal.get(v);
    if (bits !== undefined && before[s] >= 0) {
      return pieces(before, s, xs, ys, w, node);
    }
    for (let t = 0; t < 4; t++) {
      const step = STEPS[t];
      if (step.bit === STEPS[d].back) continue;
      const first = before[s] < 0;
      if (first && t !== d) continue;
      const i = (v % w) + step.x;
      const j = Math.floor(v / w) + step.y;
      if (i < 0 || j < 0 || i >= w || j >= h) continue;
      const next = j * w + i;
      if (startBits.has(next)) continue;
      if (t !== d && !cornerFree(v)) continue;
      const onGoal = goal.get(next);
      let sum = best[s] + cost(v, next) + (t !== d ? COST.bend : 0);
      if (onGoal !== undefined) {
        if (onGoal & step.back || count(onGoal) > 2 || !cornerFree(next)) continue;
        sum += landing(next);
      }
      const n = next * 4 + t;
      if (sum < best[n] - 1e-9) {
        best[n] = sum;
        before[n] = s;
        heap.push(sum + remaining(next), n);
      }
    }
  }
  return null;
}

function pieces(before: Int32Array, end: number, xs: number[], ys: number[], w: number, node: string): Wire[] {
  const points: Point[] = [];
  for (let s = end; s >= 0; s = before[s]) {
    const v = s >> 2;
    points.push({ x: xs[v % w], y: ys[Math.floor(v / w)] });
  }
  points.reverse();
  const wires: Wire[] = [];
  for (let i = 1; i < points.length; i++) {
    const last = wires[wires.length - 1];
    const piece: Wire = { node, from: points[i - 1], to: points[i] };
    if (last && isLevel(last) === isLevel(piece)) last.to = piece.to;
    else wires.push(piece);
  }
  return wires;
}
