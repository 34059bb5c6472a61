/**
 * Whether a stage could rest in several ways: only where transistors act back on each other can it (Nielsen and Willson,
 * Proc. IEEE 68, 1980, A fundamental result concerning the topology of transistor circuits with multiple equilibria; from memory).
 */
import type { Network } from '../circuit/network.ts';

/** Indices of the transistors of `network` that lie on a loop of influence together with another one. */
export function loopedTransistors(network: Network): number[] {
  const held = heldNodes(network);
  const count = network.nodes.length;
  const to: number[][] = Array.from({ length: count }, () => []);
  const lead = (a: number, b: number): void => {
    if (a >= 0 && b >= 0 && a !== b && !held.has(a) && !held.has(b)) to[a].push(b);
  };
  const both = (a: number, b: number): void => {
    lead(a, b);
    lead(b, a);
  };
  for (const e of [...network.resistors, ...network.branches]) both(e.a, e.b);
  for (const d of network.diodes) both(d.anode, d.cathode);
  for (const t of network.transistors) {
    both(t.base, t.emitter);
    lead(t.base, t.collector);
    lead(t.emitter, t.collector);
  }
  // Reachability by search from each node: networks here are of tens of nodes.
  const reach = to.map((_, from) => {
    const seen = new Set<number>([from]);
    const queue = [from];
    for (let node = queue.pop(); node !== undefined; node = queue.pop())
      for (const next of to[node])
        if (!seen.has(next)) {
          seen.add(next);
          queue.push(next);
        }
    return seen;
  });
  /** A transistor is on a loop where its collector acts on its own base or emitter. */
  const looped = [...network.transistors.keys()].filter((k) => {
    const { base, emitter, collector } = network.transistors[k];
    if (collector < 0 || held.has(collector)) return false;
    return [base, emitter].some((i) => i >= 0 && i !== collector && !held.has(i) && reach[collector].has(i));
  });
  const collector = (k: number): number => network.transistors[k].collector;
  return looped.filter((k) =>
    looped.some((j) => j !== k && reach[collector(k)].has(collector(j)) && reach[collector(j)].has(collector(k))),
  );
}

/** Nodes whose voltage ideal sources to ground fix. */
export function heldNodes(network: Network): Set<number> {
  const held = new Set<number>();
  const fixed = (i: number): boolean => i < 0 || held.has(i);
  for (let grown = true; grown; ) {
    grown = false;
    for (const b of network.branches) {
      if (b.resistance !== 0 || fixed(b.a) === fixed(b.b)) continue;
      held.add(fixed(b.a) ? b.b : b.a);
      grown = true;
    }
  }
  return held;
}
