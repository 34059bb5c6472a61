/**
 * Circuits that latch, with all of their quiescent solutions counted and computed by a route of their own: the network
 * is reduced by nested monotone equations to one unknown, which is then scanned.
 */
import type { BipolarParameters, Polarity } from '../../src/devices/parameters.ts';
import type { Part, Sheet } from '../../src/sheet/types.ts';
import { bipolarCurrents, rootOf } from './device-currents.ts';

const KELVIN = 298.15;
/** V, far below any voltage that an emitter junction here can have. */
const LOWEST = -60;
/** V, a reverse voltage of the collector junctions beyond any supply here. */
const FURTHEST = -300;

export interface LatchSolution {
  nodes: Record<string, number>;
  /** False where an odd number of real growing modes follows from the sign of the loop: the middle one of three. */
  stable: boolean;
}
export interface Latch {
  name: string;
  sheet: Sheet;
  solutions: LatchSolution[];
  /** Place in `solutions` of the one that raising the supply from zero leads to; null where that is left open. */
  reached: number | null;
}

const sheetOf = (title: string, volts: number, parts: Part[]): Sheet => ({
  title,
  notes: '',
  ambient: KELVIN,
  supplies: [{ node: 'vcc', volts, resistance: 0, inductance: 0 }],
  parts,
  devices: [],
  heatSinks: [],
  loads: [],
  targets: {},
  series: { resistors: 'E24', capacitors: 'E6' },
  spread: {},
  captures: [],
});
const resistor = (name: string, resistance: number, from: string, to: string): Part => ({ kind: 'resistor', name, resistance, from, to });
const transistor = (
  kind: Polarity,
  name: string,
  parameters: BipolarParameters,
  collector: string,
  base: string,
  emitter: string,
): Part => ({
  kind,
  name,
  device: `as-${name}`,
  parameters,
  collector,
  base,
  emitter,
  area: 1,
});

/** Two common-emitter stages, each base fed through a resistor from the other's collector. */
interface PairValues {
  volts: number;
  /** Collector resistors of the first and second stage. */
  rc: [number, number];
  rb: number;
  q: BipolarParameters;
}
const currents = (q: BipolarParameters, base: number, collector: number) => bipolarCurrents(q, KELVIN, 1, base, base - collector);

/** Collector voltage of one stage for its own base and the base its collector feeds: the sum there falls as it rises. */
function collectorOf(v: PairValues, rc: number, base: number, other: number): number {
  return rootOf((c) => (c - v.volts) / rc + (c - other) / v.rb + currents(v.q, base, c).collector, -0.5, v.volts + 0.5);
}
/**
 * Base voltage of stage `which` for a given base voltage of the other. Its feed falls as it rises and its base current
 * grows, so there is just one. The more the other conducts the less is left for this one: the map falls.
 */
function answerOf(v: PairValues, which: 0 | 1, other: number): number {
  const mine = v.rc[which];
  const theirs = v.rc[which === 0 ? 1 : 0];
  return rootOf(
    (b) => {
      const feed = collectorOf(v, theirs, other, b);
      return currents(v.q, b, collectorOf(v, mine, b, other)).base - (feed - b) / v.rb;
    },
    -0.1,
    1.2,
  );
}
/**
 * All base voltages of the first stage that map to themselves through both stages. The double map m rises, so an
 * interval [a, b] with m(b) < a or m(a) > b holds none; the others are halved down to `finest`, and each cluster of
 * what remains, with a change of sign across it, is one solution. Two solutions closer than a few `finest` would count
 * as one or, without a change of sign, as an unsure cluster: the curve touches the diagonal there or nearly does.
 */
function fixedPoints(map: (b: number) => number, low: number, high: number, finest: number): { points: number[]; unsure: number } {
  const left: [number, number][] = [];
  const visit = (a: number, b: number, ma: number, mb: number): void => {
    if (mb < a || ma > b) return;
    if (b - a < finest) {
      left.push([a, b]);
      return;
    }
    const middle = (a + b) / 2;
    const mm = map(middle);
    visit(a, middle, ma, mm);
    visit(middle, b, mm, mb);
  };
  visit(low, high, map(low), map(high));
  const clusters: [number, number][] = [];
  for (const [a, b] of left) {
    const last = clusters.at(-1);
    if (last && a - last[1] < finest / 2) last[1] = b;
    else clusters.push([a, b]);
  }
  const wide = 2 * finest;
  const crossed = clusters.filter(([a, b]) => a - wide - map(a - wide) > 0 !== b + wide - map(b + wide) > 0);
  return {
    points: crossed.map(([a, b]) => {
      const sign = a - wide - map(a - wide) > 0 ? -1 : 1;
      return rootOf((x) => sign * (x - map(x)), a - wide, b + wide);
    }),
    unsure: clusters.length - crossed.length,
  };
}

const doubleMap = (v: PairValues) => (b1: number) => answerOf(v, 0, answerOf(v, 1, b1));
function pairSolutions(v: PairValues, prefix: string): LatchSolution[] {
  const { points, unsure } = fixedPoints(doubleMap(v), 0, 1, 1e-5);
  if (unsure > 0) throw new Error('A pair whose solutions touch is no use as a test.');
  return points.map((b1, place, all) => {
    const b2 = answerOf(v, 1, b1);
    return {
      nodes: {
        vcc: v.volts,
        [`${prefix}b1`]: b1,
        [`${prefix}b2`]: b2,
        [`${prefix}c1`]: collectorOf(v, v.rc[0], b1, b2),
        [`${prefix}c2`]: collectorOf(v, v.rc[1], b2, b1),
      },
      stable: all.length === 1 || place % 2 === 0,
    };
  });
}
function pairParts(v: PairValues, prefix: string, first: number): Part[] {
  const p = (n: string) => `${prefix}${n}`;
  return [
    resistor(`R${first}`, v.rc[0], 'vcc', p('c1')),
    resistor(`R${first + 1}`, v.rc[1], 'vcc', p('c2')),
    resistor(`R${first + 2}`, v.rb, p('c1'), p('b2')),
    resistor(`R${first + 3}`, v.rb, p('c2'), p('b1')),
    transistor('npn', `Q${first}`, v.q, p('c1'), p('b1'), 'gnd'),
    transistor('npn', `Q${first + 1}`, v.q, p('c2'), p('b2'), 'gnd'),
  ];
}
/** Two equal stages: the symmetric solution, which cannot hold, and two that mirror each other. */
export function symmetricPair(): Latch {
  const v: PairValues = { volts: 6, rc: [2200, 2200], rb: 27e3, q: { saturationCurrent: 1.3e-14, forwardBeta: 170, reverseBeta: 3.1 } };
  return {
    name: 'symmetric cross-coupled pair',
    sheet: sheetOf('Tide gate memory', v.volts, pairParts(v, '', 1)),
    solutions: pairSolutions(v, ''),
    reached: null,
  };
}

const LOPSIDED: [PairValues, PairValues] = [
  { volts: 9, rc: [1800, 2700], rb: 33e3, q: { saturationCurrent: 8e-15, forwardBeta: 210, reverseBeta: 2.6 } },
  { volts: 9, rc: [5600, 3900], rb: 68e3, q: { saturationCurrent: 2.4e-14, forwardBeta: 120, reverseBeta: 4.4 } },
];
/** Two unequal pairs that share nothing but an ideal supply: each of three with each of three. */
export function twoPairs(): Latch {
  const [first, second] = LOPSIDED;
  const a = pairSolutions(first, 'x');
  const b = pairSolutions(second, 'y');
  return {
    name: 'two cross-coupled pairs on one supply',
    sheet: sheetOf('Two tide gate memories', 9, [...pairParts(first, 'x', 1), ...pairParts(second, 'y', 5)]),
    solutions: a.flatMap((s) => b.map((t) => ({ nodes: { ...s.nodes, ...t.nodes }, stable: s.stable && t.stable }))),
    // Which stage wins as the supply rises hangs on a fold near 1 V, where the branch from zero ends: left open.
    reached: null,
  };
}

/** Everything off: leakage alone in the resistors, by repetition (each turn changes the leakages by less than 1e-9 of it). */
function offState(
  volts: number,
  feed: number,
  upper: number,
  lower: number,
  n: BipolarParameters,
  p: BipolarParameters,
): { a: number; x: number; y: number } {
  let [a, x, y] = [volts, volts, 0];
  for (let turn = 0; turn < 60; turn++) {
    const npn = bipolarCurrents(n, KELVIN, 1, y, y - x);
    const pnp = bipolarCurrents(p, KELVIN, 1, a - x, y - x);
    y = lower * (pnp.collector - npn.base);
    a = volts - feed * (npn.collector + pnp.collector);
    x = a - upper * (npn.collector - pnp.base);
  }
  return { a, x, y };
}

/**
 * Four layers: the NPN's collector on the PNP's base (node x), the PNP's collector on the NPN's base (node y), a
 * resistor across each emitter junction, one resistor from the supply to the PNP's emitter (node a).
 *
 * With y given, s = y - x (forward for both collector junctions) and w = a - x (the PNP's emitter junction): the sum at
 * y gives one w for each s, which rises with s; the sum at x then falls with s, so s is unique (the Early effect keeps both
 * senses, and makes s follow from y well enough in double precision). What remains is the
 * sum at a, a function of y alone, scanned in steps of 20 uV. Below 1 nV, where y is leakage, s falls steeply as y rises
 * and the sum at a falls with it, so there is just one solution: everything off.
 */
export function fourLayers(): Latch {
  const volts = 12;
  const feed = 1500;
  const upper = 3300;
  const lower = 2200;
  const n: BipolarParameters = { saturationCurrent: 1.5e-14, forwardBeta: 150, reverseBeta: 3.3, earlyVoltage: 70 };
  const p: BipolarParameters = { saturationCurrent: 9e-15, forwardBeta: 80, reverseBeta: 2.2, earlyVoltage: 45 };
  const state = (y: number) => {
    const npn = (s: number) => bipolarCurrents(n, KELVIN, 1, y, s);
    const pnp = (w: number, s: number) => bipolarCurrents(p, KELVIN, 1, w, s);
    // Where leakage alone already exceeds what y takes, no w serves; the lowest stands in and drives s up to where one does.
    const emitterJunction = (s: number) => {
      const f = (w: number) => pnp(w, s).collector - npn(s).base - y / lower;
      return f(LOWEST) > 0 ? LOWEST : rootOf(f, LOWEST, 1.5);
    };
    const atX = (t: number) => {
      const w = emitterJunction(t);
      return pnp(w, t).base + w / upper - npn(t).collector;
    };
    // Where the NPN cannot take what the PNP's base side sends, x would lie above any supply: the sum at a is negative.
    if (atX(FURTHEST) > 0) return { x: Number.NaN, a: Number.NaN, sum: Number.NEGATIVE_INFINITY };
    const s = rootOf(atX, FURTHEST, 0.9);
    const w = emitterJunction(s);
    return { x: y - s, a: y - s + w, sum: (volts - (y - s + w)) / feed - pnp(w, s).emitter - w / upper };
  };
  const solutions: LatchSolution[] = [{ nodes: { vcc: volts, ...offState(volts, feed, upper, lower, n, p) }, stable: true }];
  // From OFF on, where the leakage is passed, the sum at a is negative; each change of sign on the grid is a solution.
  let last = 1e-9;
  for (let y = last, before = -1; y < 0.85; y += 2e-5) {
    const after = state(y).sum;
    if (before > 0 !== after > 0) {
      const root = rootOf((t) => (after > before ? 1 : -1) * Math.max(state(t).sum, -1), last, y);
      const { x, a } = state(root);
      solutions.push({ nodes: { vcc: volts, y: root, x, a }, stable: solutions.length % 2 === 0 });
    }
    before = after;
    last = y;
  }
  return {
    name: 'four layers',
    sheet: sheetOf('Flood alarm that stays on', volts, [
      resistor('R1', feed, 'vcc', 'a'),
      resistor('R2', upper, 'a', 'x'),
      resistor('R3', lower, 'y', 'gnd'),
      transistor('npn', 'Q1', n, 'x', 'y', 'gnd'),
      transistor('pnp', 'Q2', p, 'y', 'x', 'a'),
    ]),
    solutions,
    // From zero supply up, nothing turns on: the junctions' resistors take what leaks.
    reached: 0,
  };
}

/** The three circuits, with all of their solutions. Takes a second or so. */
export const latches = (): Latch[] => [symmetricPair(), fourLayers(), twoPairs()];
