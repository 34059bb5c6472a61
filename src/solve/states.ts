/**
 * The charges that a period must bring back: one coordinate for every independent charge or flux of the network. Nodes
 * that ideal sources hold have none; where capacitors form an island the charges of its nodes add to zero, so one is left out.
 */
import type { Kernel } from '../circuit/kernel.ts';
import { chargePositions } from './radau.ts';

export interface StateSpace {
  /** Rows of q that serve as coordinates. */
  rows: Int32Array;
  /** For each row of q (n): the list of coordinates it is minus the sum of, where it is the one left out; else empty. */
  dependent: { row: number; of: Int32Array }[];
}

export function stateSpace(kernel: Kernel): StateSpace {
  const { network, pattern, n } = kernel;
  const nodes = network.nodes.length;
  const ground = nodes;
  const parent = Array.from({ length: nodes + 1 }, (_, i) => i);
  const find = (i: number): number => {
    let r = i;
    while (parent[r] !== r) r = parent[r];
    return r;
  };
  const bin = (i: number): number => (i < 0 ? ground : i);
  const held = new Set<number>([ground]);
  // Ideal sources to ground, and between held nodes, hold a node whatever current it takes.
  for (let grown = true; grown; ) {
    grown = false;
    for (const b of network.branches) {
      if (b.resistance !== 0 || b.inductance !== 0) continue;
      const [a, c] = [bin(b.a), bin(b.b)];
      if (held.has(a) !== held.has(c)) {
        held.add(a);
        held.add(c);
        grown = true;
      }
    }
  }
  const charged = new Set<number>();
  const fluxes: number[] = [];
  const rowOf = (p: number): number => {
    let i = 0;
    while (pattern.rowStart[i + 1] <= p) i++;
    return i;
  };
  const join = (a: number, b: number): void => {
    parent[find(a)] = find(b);
  };
  for (const p of chargePositions(kernel)) {
    const i = rowOf(p);
    const j = pattern.columns[p];
    if (i >= nodes) fluxes.push(i);
    else {
      charged.add(i);
      join(i, j);
    }
  }
  // A capacitor to ground leaves no off-diagonal entry: ask the elements themselves.
  for (const e of network.capacitors) join(bin(e.a), bin(e.b));
  for (const t of network.transistors) if (charged.has(t.base)) for (const i of [t.collector, t.emitter]) join(bin(t.base), bin(i));
  for (const d of network.diodes) if (d.parameters.junctionCapacitance || d.parameters.transitTime) join(bin(d.anode), bin(d.cathode));
  for (const h of held) join(h, ground);
  const islands = new Map<number, number[]>();
  const rows: number[] = [];
  for (const i of [...charged].sort((a, b) => a - b)) {
    if (held.has(i)) continue;
    const root = find(i);
    if (root === find(ground)) rows.push(i);
    else islands.set(root, [...(islands.get(root) ?? []), i]);
  }
  const dependent: { row: number; of: number[] }[] = [];
  for (const island of islands.values()) {
    const [first, ...others] = island;
    rows.push(...others);
    dependent.push({ row: first, of: others });
  }
  rows.push(...fluxes.filter((r) => r < n));
  const coordinate = new Map(rows.map((r, k) => [r, k]));
  return {
    rows: Int32Array.from(rows),
    dependent: dependent.map((d) => ({ row: d.row, of: Int32Array.from(d.of, (r) => coordinate.get(r) as number) })),
  };
}
