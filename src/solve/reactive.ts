/**
 * Which capacitors and inductors the mid-band transfer holds, and which it leaves out (`physics.md`, Swing): nearer short
 * or open at the drive frequency than the rest of the stage at their terminals. Parallel capacitors count as one,
 * inductors in series too.
 */
import type { Network } from '../circuit/network.ts';
import { LinearStage, magnitude } from './small-signal.ts';
import type { Stage } from './stage.ts';

export interface ReactiveGroup {
  kind: 'capacitor' | 'inductor';
  /** Indices into `network.capacitors` or `network.branches`. */
  members: number[];
  held: boolean;
  /** Held although its reactance would leave it out: the drive is below this part's corner. */
  belowCorner: boolean;
}

export function reactiveGroups(network: Network): { kind: ReactiveGroup['kind']; members: number[] }[] {
  const parallel = new Map<string, number[]>();
  network.capacitors.forEach((c, k) => {
    const key = [Math.min(c.a, c.b), Math.max(c.a, c.b)].join();
    parallel.set(key, [...(parallel.get(key) ?? []), k]);
  });
  return [
    ...[...parallel.values()].map((members) => ({ kind: 'capacitor' as const, members })),
    ...seriesInductors(network).map((members) => ({ kind: 'inductor' as const, members })),
  ];
}

/** Chains of inductors joined at nodes on which nothing else hangs. */
function seriesInductors(network: Network): number[][] {
  const touching = new Map<number, number>();
  const touch = (...nodes: number[]): void => {
    for (const i of nodes) if (i >= 0) touching.set(i, (touching.get(i) ?? 0) + 1);
  };
  for (const e of [...network.resistors, ...network.capacitors, ...network.currents, ...network.branches]) touch(e.a, e.b);
  for (const t of network.transistors) touch(t.collector, t.base, t.emitter);
  for (const d of network.diodes) touch(d.anode, d.cathode);
  const inductors = network.branches.flatMap((b, k) => (b.inductance > 0 ? [k] : []));
  const groups = inductors.map((k) => [k]);
  const share = (p: number[], q: number[]): boolean =>
    p.some((i) =>
      q.some((j) => {
        const ends = [network.branches[j].a, network.branches[j].b];
        return [network.branches[i].a, network.branches[i].b].some((n) => n >= 0 && touching.get(n) === 2 && ends.includes(n));
      }),
    );
  for (let i = 0; i < groups.length; i++) {
    for (let j = i + 1; j < groups.length; j++) {
      if (!share(groups[i], groups[j])) continue;
      groups[i].push(...groups[j]);
      groups.splice(j, 1);
      j = i;
    }
  }
  return groups;
}

/** Decides for every group at the drive frequency (Hz); without one all are held. */
export function decideHeld(stage: Stage, frequency: number | undefined): ReactiveGroup[] {
  const { kernel, network, x } = stage;
  const groups = reactiveGroups(network);
  if (frequency === undefined) return groups.map((g) => ({ ...g, held: true, belowCorner: false }));
  const omega = 2 * Math.PI * frequency;
  const full = new LinearStage(kernel, x);
  const generator = network.nodes.length + network.generator;
  const gainOf = (linear: LinearStage): number => {
    if (network.generator < 0 || network.outputNode < 0 || !linear.at(omega)) return 0;
    linear.solve([[generator, 1]]);
    return magnitude(linear.value(network.outputNode));
  };
  const gain = gainOf(full);
  return groups.map((group) => {
    const without = full.copy();
    for (const k of group.members) {
      if (group.kind === 'capacitor') without.withoutCapacitor(k);
      else without.withoutInductance(k);
    }
    const rest = restImpedance(without, group, network, omega);
    const reactance =
      group.kind === 'capacitor'
        ? 1 / (omega * group.members.reduce((s, k) => s + network.capacitors[k].capacitance, 0))
        : omega * group.members.reduce((s, k) => s + network.branches[k].inductance, 0);
    const leave = group.kind === 'capacitor' ? reactance > rest : reactance < rest;
    const needed = leave && gain > 0 && gainOf(without) < gain / 10;
    return { ...group, held: !leave || needed, belowCorner: needed };
  });
}

/** Magnitude of the impedance that the rest offers to a group's terminals; infinite where it offers none. */
function restImpedance(without: LinearStage, group: { kind: string; members: number[] }, network: Network, omega: number): number {
  if (!without.at(omega)) return Number.POSITIVE_INFINITY;
  if (group.kind === 'capacitor') {
    const { a, b } = network.capacitors[group.members[0]];
    without.solve([
      [a, 1],
      [b, -1],
    ]);
    return magnitude(without.difference(a, b));
  }
  // A unit of electromotive force in the branch: the current it drives meets the rest and the series resistance alone.
  const row = network.nodes.length + group.members[0];
  without.solve([[row, 1]]);
  const current = magnitude(without.value(row));
  return current > 0 ? 1 / current : Number.POSITIVE_INFINITY;
}
