/** What asked for the limit: the branch currents at the device's node, wanted and possible (Kirchhoff's current law, told as a shortage). */
import { DEVICE_FIGURES, FIGURE, type Kernel } from '../circuit/kernel.ts';
import type { Network } from '../circuit/network.ts';
import type { Sweep, SweepPoint } from '../solve/sweep.ts';
import { changedAt, ends, lifted, openChanged, withBranch } from './changes.ts';
import type { Cause } from './types.ts';

export interface Demand {
  /** The part that would have to carry the current, what is asked of it and what it can carry at most, A. */
  part: string;
  amperes: number;
  capacity: number;
  /** The part or load that asks. */
  by: string;
  /** Node at which the currents meet, index in the network, and what is missing there, A: positive must be taken out. */
  node: number;
  shortage: number;
  /** What the part would have to do with the current at that node; absent where a device itself asks. */
  direction?: 'take' | 'give';
}

/** The demand as a cause carries it. */
export function toldDemand(demand: Demand | null): Cause['demand'] {
  if (demand === null) return null;
  const { part, amperes, capacity, by, direction } = demand;
  return { part, amperes, capacity, by, ...(direction ? { direction } : {}) };
}

/** Current that flows out of each part into the group of nodes, A, by part, after the kernel was evaluated at x. */
export function inflows(kernel: Kernel, x: Float64Array, group: Set<number>): Map<string, number> {
  const { network } = kernel;
  const v = (i: number): number => (i < 0 ? 0 : x[i]);
  const sum = new Map<string, number>();
  const add = (part: string, node: number, leaving: number): void => {
    if (group.has(node)) sum.set(part, (sum.get(part) ?? 0) - leaving);
  };
  const twoEnds = (part: string, a: number, b: number, current: number): void => {
    if (group.has(a) && group.has(b)) return;
    add(part, a, current);
    add(part, b, -current);
  };
  for (const r of network.resistors) twoEnds(r.part, r.a, r.b, (v(r.a) - v(r.b)) / r.resistance);
  network.currents.forEach((c, k) => {
    twoEnds(c.part, c.a, c.b, kernel.amperes[k]);
  });
  network.branches.forEach((b, k) => {
    twoEnds(b.part, b.a, b.b, x[network.nodes.length + k]);
  });
  network.transistors.forEach((t, k) => {
    const at = DEVICE_FIGURES * k;
    const transport = kernel.figures[at + FIGURE.transport];
    const be = kernel.figures[at + FIGURE.baseEmitter];
    const bc = kernel.figures[at + FIGURE.baseCollector];
    add(t.part, t.collector, t.sign * (transport - bc));
    add(t.part, t.base, t.sign * (be + bc));
    add(t.part, t.emitter, -t.sign * (transport + be));
  });
  network.diodes.forEach((d, k) => {
    twoEnds(d.part, d.anode, d.cathode, kernel.figures[DEVICE_FIGURES * (network.transistors.length + k) + FIGURE.transport]);
  });
  return sum;
}

/** A node with those that held capacitors and exact links tie to it: for the signal they are one. */
export function tiedTo(network: Network, node: number): Set<number> {
  const group = new Set([node]);
  for (let grown = true; grown; ) {
    grown = false;
    for (const b of network.branches) {
      if ((b.kind !== 'held' && b.kind !== 'link') || b.resistance !== 0 || b.a < 0 || b.b < 0) continue;
      if (group.has(b.a) === group.has(b.b)) continue;
      group.add(b.a);
      group.add(b.b);
      grown = true;
    }
  }
  return group;
}

/** The terminal of device k through which it moves the output most, at a point of the curve; -1 where it moves nothing. */
export function actingNode(sweep: Sweep, k: number, at: SweepPoint): number {
  const { kernel, solver } = sweep.transfer;
  const { network } = kernel;
  kernel.evaluate(at.x, null, false);
  solver.lu.factor(kernel.g);
  const unit = new Float64Array(kernel.n);
  const adjoint = new Float64Array(kernel.n);
  unit[network.outputNode] = 1;
  solver.lu.solveTransposed(unit, adjoint);
  const weight = (i: number): number => (i < 0 ? 0 : Math.abs(adjoint[i]));
  const [a, b] = ends(network, k);
  if (weight(a) === 0 && weight(b) === 0) return -1;
  return weight(a) > weight(b) ? a : b;
}

/**
 * The node at which currents meet: from a terminal on which nothing hangs but a resistor (a device's own, or one in series
 * with it), on to that resistor's other end; not on to ground or a supply, where no voltage can be asked for.
 */
function pastSeriesResistors(open: Network, from: number): number {
  let node = from;
  const passed = new Set<number>();
  while (node >= 0 && !passed.has(node)) {
    passed.add(node);
    const at = node;
    const touches = (...nodes: number[]): boolean => nodes.includes(at);
    const others =
      [...open.capacitors, ...open.currents, ...open.branches].some((e) => touches(e.a, e.b)) ||
      open.transistors.some((t) => touches(t.collector, t.base, t.emitter)) ||
      open.diodes.some((d) => touches(d.anode, d.cathode));
    const resistors = open.resistors.filter((r) => touches(r.a, r.b));
    if (others || resistors.length !== 1) break;
    const next = resistors[0].a === node ? resistors[0].b : resistors[0].a;
    if (next < 0 || open.branches.some((b) => b.kind === 'supply' && (b.a === next || b.b === next))) break;
    node = next;
  }
  return node;
}

/**
 * What is asked where device k let go: its node is led by an ideal source to where the unhurt slope would have put it at
 * `drive`, the device lifted; the currents that then flow are the wanted ones, those without the source the possible ones.
 * `lacking` is the sign of the shortage where it is known from elsewhere: who asks and who carries is judged by it.
 */
export function demandOf(
  sweep: Sweep,
  k: number,
  unhurt: SweepPoint,
  drive: number,
  near: SweepPoint,
  kelvin: ArrayLike<number>,
  ambient: number,
  lacking?: number,
): Demand | null {
  const { transfer } = sweep;
  const { kernel, network, solver } = transfer;
  const open = lifted(network, k);
  const node = pastSeriesResistors(open, actingNode(sweep, k, unhurt));
  if (node < 0) return null;
  // The slope of the node itself at A, by the tangent.
  kernel.evaluate(unhurt.x, null, false);
  solver.lu.factor(kernel.g);
  const unit = new Float64Array(kernel.n);
  unit[network.nodes.length + network.generator] = 1;
  solver.lu.solve(unit, unit);
  const wantedVolts = unhurt.x[node] + unit[node] * (drive - unhurt.drive);
  const possible = changedAt(openChanged(transfer, open, kelvin, ambient), drive, near);
  const led = openChanged(transfer, withBranch(open, { part: 'wanted', a: node, b: -1, emf: wantedVolts }), kelvin, ambient);
  const wanted = changedAt(led, drive, near);
  if (!possible || !wanted) return null;
  const shortage = wanted.x[wanted.x.length - 1];
  const group = tiedTo(network, node);
  const flow = (s: Sweep | null, p: SweepPoint): Map<string, number> => {
    const own = (s ?? led).transfer.kernel;
    own.evaluate(p.x, null, false);
    return inflows(own, p.x, group);
  };
  const wantedFlow = flow(led, wanted);
  wantedFlow.delete('wanted');
  const possibleFlow = flow(openChanged(transfer, open, kelvin, ambient), possible);
  const sign = lacking ?? (Math.sign(shortage) || 1);
  const asks = largest(wantedFlow, sign);
  const carries = largest(possibleFlow, -sign);
  if (!asks) return null;
  return {
    part: carries?.part ?? asks.part,
    amperes: asks.amperes,
    capacity: carries?.amperes ?? 0,
    by: asks.part,
    node,
    shortage,
    direction: sign > 0 ? 'take' : 'give',
  };
}

/** The part with the largest flow of one sign. */
function largest(flows: Map<string, number>, sign: number): { part: string; amperes: number } | null {
  let best: { part: string; amperes: number } | null = null;
  for (const [part, amperes] of flows) if (sign * amperes > (best?.amperes ?? 0)) best = { part, amperes: sign * amperes };
  return best;
}
