/**
 * How good a drawing is. Measured from the finished plan alone, by code that shares nothing with
 * the layout but the outlines of symbols.
 */
import { hypot } from '../numerics/elementary.ts';
import type { Box, Label, Plan, Point, Wire } from './plan.ts';
import { arrowBox, boxMeets, type Shape, shapesOf } from './shapes.ts';

export interface Score {
  total: number;
  faults: string[];
  crossings: number;
  railCrossings: number;
  bends: number;
  /** px of conductors without rails. */
  length: number;
  reversedSignals: number;
  reversedFeedback: number;
  upended: number;
  /** Points for broken symmetry. */
  asymmetry: number;
  offRank: number;
  twoLineNodes: number;
  halos: number;
  onPointing: number;
  widthExcess: number;
  heightExcess: number;
}

const WEIGHT = {
  fault: 1000,
  crossing: 30,
  rail: 60,
  bend: 6,
  px: 0.01,
  reversed: 40,
  feedback: 15,
  upended: 20,
  asymmetry: 0.5,
  leastAsymmetry: 10,
  offRank: 4,
  twoLines: 3,
  halo: 25,
  onPointing: 3,
  width: 2,
  height: 1 / 20,
};
const USUAL_HEIGHT = 456;

const horizontal = (w: Wire): boolean => w.from.y === w.to.y;
const low = (a: number, b: number): number => Math.min(a, b);
const high = (a: number, b: number): number => Math.max(a, b);
const boxOf = (w: Wire): Box => ({
  left: low(w.from.x, w.to.x),
  right: high(w.from.x, w.to.x),
  top: low(w.from.y, w.to.y),
  bottom: high(w.from.y, w.to.y),
});
const meets = (a: Box, b: Box): boolean => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
const within = (p: Point, b: Box): boolean =>
  p.x >= b.left - 0.01 && p.x <= b.right + 0.01 && p.y >= b.top - 0.01 && p.y <= b.bottom + 0.01;
const swollen = (b: Box, d: number): Box => ({ left: b.left - d, right: b.right + d, top: b.top - d, bottom: b.bottom + d });

/** Ways out of a point along the wires of one node, rails and symbols' terminals included. */
function waysOut(p: Point, node: string, plan: Plan): number {
  const ways = new Set<string>();
  for (const w of plan.wires) {
    if (w.node !== node) continue;
    const b = boxOf(w);
    if (!within(p, b)) continue;
    if (b.right > p.x + 0.01) ways.add('r');
    if (b.left < p.x - 0.01) ways.add('l');
    if (b.bottom > p.y + 0.01) ways.add('d');
    if (b.top < p.y - 0.01) ways.add('u');
  }
  for (const r of plan.rails) {
    if (r.node !== node || Math.abs(r.y - p.y) > 0.01 || p.x < r.from || p.x > r.to) continue;
    ways.add('r').add('l');
  }
  for (const s of plan.symbols) {
    for (const [k, pin] of s.pins.entries()) {
      if (pin.node !== node || Math.abs(pin.at.x - p.x) > 0.01 || Math.abs(pin.at.y - p.y) > 0.01) continue;
      if (k === 2) ways.add(s.at.x > p.x ? 'r' : 'l');
      else if (s.upright) ways.add(s.at.y > p.y ? 'd' : 'u');
      else ways.add(s.at.x > p.x ? 'r' : 'l');
    }
  }
  return ways.size;
}

function jointFaults(plan: Plan): string[] {
  const faults: string[] = [];
  const points = new Map<string, { node: string; at: Point }>();
  const note = (node: string, at: Point): void =>
    void points.set(`${node} ${Math.round(at.x * 10)} ${Math.round(at.y * 10)}`, { node, at });
  for (const w of plan.wires) {
    note(w.node, w.from);
    note(w.node, w.to);
  }
  for (const a of plan.wires) {
    for (const b of plan.wires) {
      if (a.node !== b.node || !horizontal(a) || horizontal(b)) continue;
      const p = { x: b.from.x, y: a.from.y };
      if (within(p, boxOf(a)) && within(p, boxOf(b))) note(a.node, p);
    }
  }
  for (const { node, at } of points.values()) {
    const ways = waysOut(at, node, plan);
    if (ways > 3) faults.push(`four conductors of ${node} meet at ${Math.round(at.x)}, ${Math.round(at.y)}`);
    const dotted = plan.dots.some((d) => d.node === node && Math.abs(d.at.x - at.x) < 0.6 && Math.abs(d.at.y - at.y) < 0.6);
    if (ways > 2 && !dotted) faults.push(`a dot of ${node} is missing at ${Math.round(at.x)}, ${Math.round(at.y)}`);
  }
  return faults;
}

/** Conductors of different nodes that touch other than by a square crossing, and conductors over bodies. */
function wireFaults(plan: Plan): { faults: string[]; crossings: number; railCrossings: number } {
  const faults: string[] = [];
  let crossings = 0;
  let railCrossings = 0;
  for (let i = 0; i < plan.wires.length; i++) {
    const a = plan.wires[i];
    const p = boxOf(a);
    for (let j = i + 1; j < plan.wires.length; j++) {
      const b = plan.wires[j];
      if (a.node === b.node) continue;
      const q = boxOf(b);
      if (horizontal(a) === horizontal(b)) {
        if (meets(swollen(p, 1.5), swollen(q, 1.5))) faults.push(`${a.node} lies on ${b.node}`);
        continue;
      }
      const [h, v] = horizontal(a) ? [p, q] : [q, p];
      if (v.left < h.left - 0.5 || v.left > h.right + 0.5 || h.top < v.top - 0.5 || h.top > v.bottom + 0.5) continue;
      const clean = v.left > h.left + 3 && v.left < h.right - 3 && h.top > v.top + 3 && h.top < v.bottom - 3;
      if (clean) crossings++;
      else faults.push(`${a.node} touches ${b.node}`);
    }
    for (const r of plan.rails) {
      if (horizontal(a)) {
        if (Math.abs(p.top - r.y) < 3 && p.left < r.to && r.from < p.right && r.node !== a.node)
          faults.push(`${a.node} lies on the rail ${r.node}`);
      } else if (p.left >= r.from && p.left <= r.to && p.top < r.y - 0.5 && p.bottom > r.y + 0.5) railCrossings++;
      else if (r.node !== a.node && p.left >= r.from && p.left <= r.to && (Math.abs(p.top - r.y) < 3 || Math.abs(p.bottom - r.y) < 3))
        faults.push(`${a.node} touches the rail ${r.node}`);
    }
    for (const s of plan.symbols) {
      const own = s.pins.some((pin) => pin.node === a.node && within(pin.at, swollen(p, 0.1)));
      for (const shape of shapesOf(s)) {
        const body = swollen(shape.area, -1);
        const ends = own && s.pins.filter((pin) => within(pin.at, swollen(p, 0.1))).length < 2;
        if (!ends && boxMeets(swollen(p, 0.3), { ...shape, area: body })) faults.push(`${a.node} runs over ${s.id}`);
      }
    }
  }
  return { faults, crossings, railCrossings };
}

function bodyFaults(plan: Plan): string[] {
  const faults: string[] = [];
  plan.symbols.forEach((s, i) => {
    for (const t of plan.symbols.slice(i + 1)) {
      for (const a of shapesOf(s))
        for (const b of shapesOf(t))
          if (!a.round && boxMeets(a.area, b)) faults.push(`${s.id} overlaps ${t.id}`);
          else if (a.round && !b.round && boxMeets(b.area, a)) faults.push(`${s.id} overlaps ${t.id}`);
          else if (
            a.round &&
            b.round &&
            hypot(a.round.centre.x - b.round.centre.x, a.round.centre.y - b.round.centre.y) < a.round.radius + b.round.radius
          )
            faults.push(`${s.id} overlaps ${t.id}`);
    }
    for (const r of plan.rails)
      if (meets(s.body, { left: r.from, right: r.to, top: r.y - 1, bottom: r.y + 1 })) faults.push(`${s.id} overlaps the rail ${r.node}`);
  });
  return faults;
}

/** Every reserved text box against everything else that is drawn. */
function labelFaults(plan: Plan): string[] {
  const faults: string[] = [];
  const shown = plan.labels.filter((l) => !l.onPointing);
  const hits = (l: Label, shape: Shape, what: string): void => {
    if (boxMeets(swollen(l.box, -0.5), shape)) faults.push(`the text of ${l.of} touches ${what}`);
  };
  shown.forEach((l, i) => {
    for (const m of shown.slice(i + 1)) if (meets(l.box, m.box)) faults.push(`the text of ${l.of} touches that of ${m.of}`);
    for (const s of plan.symbols) for (const shape of shapesOf(s)) hits(l, shape, s.id);
    // A halo parts a text from the conductors under it; it excuses nothing else.
    if (!l.halo) for (const w of plan.wires) hits(l, { area: swollen(boxOf(w), 0.65) }, `the wire ${w.node}`);
    for (const r of plan.rails) hits(l, { area: { left: r.from, right: r.to, top: r.y - 1.2, bottom: r.y + 1.2 } }, `the rail ${r.node}`);
    for (const e of plan.earths)
      hits(l, { area: { left: e.at.x - 10, right: e.at.x + 10, top: e.at.y, bottom: e.at.y + 8 } }, 'an earth symbol');
    for (const t of plan.terminals)
      hits(l, { area: swollen({ left: t.at.x, right: t.at.x, top: t.at.y, bottom: t.at.y }, 3.5) }, `the terminal ${t.node}`);
    if (!l.halo)
      for (const d of plan.dots)
        hits(l, { area: swollen({ left: d.at.x, right: d.at.x, top: d.at.y, bottom: d.at.y }, 3) }, `a dot of ${d.node}`);
    for (const a of plan.arrows) hits(l, { area: swollen(arrowBox(a), -1.5) }, `the arrow of ${a.part}`);
    if (l.kind !== 'load')
      for (const f of plan.frames)
        if (meets(swollen(l.box, -0.5), f.box)) faults.push(`the text of ${l.of} touches the frame of ${f.name}`);
    const b = plan.box;
    if (l.box.left < b.left - 0.5 || l.box.right > b.right + 0.5 || l.box.top < b.top - 0.5 || l.box.bottom > b.bottom + 0.5)
      faults.push(`the text of ${l.of} lies outside`);
  });
  return faults;
}

function bendsOf(plan: Plan): number {
  let bends = 0;
  const seen = new Set<string>();
  for (const w of plan.wires) {
    for (const p of [w.from, w.to]) {
      const key = `${w.node} ${Math.round(p.x * 10)} ${Math.round(p.y * 10)}`;
      if (seen.has(key)) continue;
      seen.add(key);
      const there = plan.wires.filter((v) => v.node === w.node && within(p, boxOf(v)));
      if (there.length === 2 && horizontal(there[0]) !== horizontal(there[1]) && waysOut(p, w.node, plan) === 2) bends++;
    }
  }
  return bends;
}

/** Measures a plan. */
export function scoreOf(plan: Plan): Score {
  const wires = wireFaults(plan);
  const faults = [...plan.faults, ...jointFaults(plan), ...wires.faults, ...bodyFaults(plan), ...labelFaults(plan)];
  const length = plan.wires.reduce((sum, w) => sum + Math.abs(w.from.x - w.to.x) + Math.abs(w.from.y - w.to.y), 0);
  const centre = new Map(plan.symbols.map((s) => [s.id, s.at]));
  let asymmetry = 0;
  for (const { pair, about, axis } of plan.symmetries) {
    const [a, b] = pair.map((id) => centre.get(id));
    if (!a || !b) continue;
    const off = axis === 'column' ? Math.abs(a.y - b.y) : Math.abs(a.x - b.x);
    const middle = about === '' ? null : centre.get(about);
    const lean = middle ? Math.abs(axis === 'column' ? a.x + b.x - 2 * middle.x : a.y + b.y - 2 * middle.y) / 2 : 0;
    const broken = off + lean;
    if (broken > 0.6) asymmetry += Math.max(WEIGHT.leastAsymmetry, WEIGHT.asymmetry * broken);
  }
  let offRank = 0;
  for (const rank of plan.ranks) {
    const heights = rank.map((id) => centre.get(id)?.y ?? 0);
    const usual = heights.map((y) => heights.filter((z) => Math.abs(y - z) < 1).length);
    const most = Math.max(...usual);
    const line = heights[usual.indexOf(most)];
    offRank += heights.filter((y) => Math.abs(y - line) >= 1).length;
  }
  const shown = plan.labels.filter((l) => !l.onPointing);
  const score: Score = {
    total: 0,
    faults,
    crossings: wires.crossings,
    railCrossings: wires.railCrossings,
    bends: bendsOf(plan),
    length,
    reversedSignals: plan.reversals.signal.length,
    reversedFeedback: plan.reversals.feedback.length,
    upended: plan.upended.length,
    asymmetry,
    offRank,
    twoLineNodes: shown.filter((l) => l.kind === 'node' && l.lines.length > 1).length,
    halos: shown.filter((l) => l.halo).length,
    onPointing: plan.labels.filter((l) => l.onPointing).length,
    widthExcess: Math.max(0, plan.box.right - plan.box.left - plan.width),
    heightExcess: Math.max(0, plan.height - USUAL_HEIGHT),
  };
  score.total =
    WEIGHT.fault * faults.length +
    WEIGHT.crossing * score.crossings +
    WEIGHT.rail * score.railCrossings +
    WEIGHT.bend * score.bends +
    WEIGHT.px * score.length +
    WEIGHT.reversed * score.reversedSignals +
    WEIGHT.feedback * score.reversedFeedback +
    WEIGHT.upended * score.upended +
    score.asymmetry +
    WEIGHT.offRank * score.offRank +
    WEIGHT.twoLines * score.twoLineNodes +
    WEIGHT.halo * score.halos +
    WEIGHT.onPointing * score.onPointing +
    WEIGHT.width * score.widthExcess +
    WEIGHT.height * score.heightExcess;
  return score;
}
