/** Transistors that work together: mirrors, Darlingtons of both kinds, complementary and differential pairs, multipliers. */
import { terminalsOf } from '../sheet/terminals.ts';
import type { NodeName, Transistor } from '../sheet/types.ts';
import type { Role } from './role.ts';
import type { SignalGraph } from './roles-graph.ts';

export interface Partnership extends Pick<Role, 'name' | 'partner' | 'position' | 'compound'> {
  part: string;
  /** Where the emitters of a pair meet. */
  common?: NodeName;
}

const both = (graph: SignalGraph): [Transistor, Transistor][] =>
  graph.transistors.flatMap((a) => graph.transistors.flatMap((b) => (a.name === b.name ? [] : [[a, b] as [Transistor, Transistor]])));

/** The rail that an emitter stands on, straight or through one resistor; null where there is none. */
function footOf(graph: SignalGraph, t: Transistor): NodeName | null {
  if (graph.isRail(t.emitter)) return t.emitter;
  return graph.resistorsAt(t.emitter).find((r) => graph.isRail(r.other))?.other ?? null;
}

/** One diode-connected transistor and others of its kind on the same base line and the same rail. */
export function mirrors(graph: SignalGraph): Partnership[] {
  const found: Partnership[] = [];
  for (const [a, b] of both(graph)) {
    if (a.kind !== b.kind || !graph.same(a.base, a.collector) || graph.same(b.base, b.collector) || !graph.same(a.base, b.base)) continue;
    const [p, q] = [footOf(graph, a), footOf(graph, b)];
    if (p === null || q === null || !graph.same(p, q)) continue;
    if (!found.some((f) => f.part === a.name)) found.push({ part: a.name, name: 'mirror', partner: b.name, position: 'input' });
    found.push({ part: b.name, name: 'mirror', partner: a.name, position: 'output' });
  }
  return found;
}

/** True where a node has no resistor but from `node` to `other`: what one emitter gives, one base takes. */
const onlyTo = (graph: SignalGraph, node: NodeName, others: NodeName[]): boolean =>
  graph.resistorsAt(node).every((r) => others.some((other) => graph.same(r.other, other)));

/** Two transistors that act as one: emitter into base (Darlington) or collector into base of the other kind (complementary). */
export function compounds(graph: SignalGraph): Partnership[] {
  const found: Partnership[] = [];
  for (const [first, second] of both(graph)) {
    const compound = graph.grounded(second.collector) && !graph.grounded(second.emitter) ? 'follower' : 'common emitter';
    const plain =
      first.kind === second.kind &&
      graph.same(first.emitter, second.base) &&
      !graph.same(first.base, first.collector) &&
      (graph.same(first.collector, second.collector) || graph.grounded(first.collector)) &&
      onlyTo(graph, second.base, [second.emitter]);
    const complementary =
      first.kind !== second.kind &&
      graph.same(first.collector, second.base) &&
      graph.same(first.emitter, second.collector) &&
      !graph.same(first.base, second.emitter);
    if (!plain && !complementary) continue;
    const name = plain ? 'Darlington member' : 'complementary Darlington member';
    // A complementary one follows where its common point, the first emitter, does not lie on signal ground.
    const whole = complementary ? (graph.grounded(first.emitter) ? 'common emitter' : 'follower') : compound;
    found.push({ part: first.name, name, partner: second.name, position: 'first', compound: whole });
    found.push({ part: second.name, name, partner: first.name, position: 'second', compound: whole });
  }
  return found;
}

/** Nodes that an emitter meets straight, or through one resistor, short of signal ground. */
function meetingPoints(graph: SignalGraph, t: Transistor): NodeName[] {
  const through = graph.resistorsAt(t.emitter).map((r) => r.other);
  return [t.emitter, ...through].filter((node) => !graph.grounded(node));
}
const meetingPoint = (graph: SignalGraph, a: Transistor, b: Transistor): NodeName | undefined =>
  meetingPoints(graph, a).find((p) => meetingPoints(graph, b).some((q) => graph.same(p, q)));

/** Two followers of opposite kind with joined emitters; two equal transistors with joined emitters and bases of their own. */
export function pairs(graph: SignalGraph, isFollower: (t: Transistor) => boolean): Partnership[] {
  const found: Partnership[] = [];
  for (const [a, b] of both(graph)) {
    const common = meetingPoint(graph, a, b);
    if (graph.grounded(a.emitter) || graph.grounded(b.emitter) || common === undefined) continue;
    if (a.kind !== b.kind) {
      if (isFollower(a) && isFollower(b)) found.push({ part: a.name, name: 'half of a complementary pair', partner: b.name, common });
      continue;
    }
    if (graph.sameSignal(a.base, b.base) || graph.same(a.emitter, b.base) || graph.same(b.emitter, a.base)) continue;
    if (graph.same(a.collector, b.collector) && graph.grounded(a.collector)) continue;
    const { drive } = graph.sheet;
    const from = drive ? graph.distances(drive.node, false, a) : () => Number.POSITIVE_INFINITY;
    const fromOther = drive ? graph.distances(drive.node, false, b) : () => Number.POSITIVE_INFINITY;
    const nearer = from(a.base) - fromOther(b.base);
    const position = Number.isNaN(nearer) || nearer === 0 ? {} : { position: nearer < 0 ? ('first' as const) : ('second' as const) };
    found.push({ part: a.name, name: 'half of a differential pair', partner: b.name, common, ...position });
  }
  return found;
}

/** Base resistors of a multiplier: a chain to the collector, one to the emitter, and nothing else on the base. Null otherwise. */
export function multiplier(graph: SignalGraph, t: Transistor): Role['divider'] | null {
  const chains = graph.resistorsAt(t.base).map((r) => chainFrom(graph, t, r));
  const to = (end: NodeName): string[] => [...new Set(chains.flatMap((c) => (graph.same(c.end, end) ? c.names : [])))];
  const upper = to(t.collector);
  const lower = to(t.emitter);
  const astray = chains.some((c) => !graph.same(c.end, t.collector) && !graph.same(c.end, t.emitter));
  if (upper.length === 0 || lower.length === 0 || astray) return null;
  const ends = [t.base, t.collector, t.emitter];
  const stranger = graph.sheet.parts.some((part) => {
    if (part.name === t.name || part.lifted || part.kind === 'resistor' || part.kind === 'trimmer') return false;
    if ('collector' in part) return [part.base, part.collector, part.emitter].some((node) => graph.same(node, t.base));
    if (part.kind === 'diode') return graph.same(part.anode, t.base) || graph.same(part.cathode, t.base);
    const [a, b] = [part.from, part.to];
    if (!graph.same(a, t.base) && !graph.same(b, t.base)) return false;
    return !ends.some((end) => graph.same(end, a)) || !ends.some((end) => graph.same(end, b));
  });
  return stranger || graph.sheet.drive?.node === t.base ? null : { upper, lower };
}

/** From the base along resistors in series (a trimmer's half among them), to the first node where something else hangs. */
function chainFrom(graph: SignalGraph, t: Transistor, first: { name: string; other: NodeName }): { names: string[]; end: NodeName } {
  const names = [first.name];
  let from = t.base;
  let end = first.other;
  while (!graph.same(end, t.collector) && !graph.same(end, t.emitter) && names.length <= graph.sheet.parts.length) {
    const onwards = graph.resistorsAt(end).filter((r) => !graph.same(r.other, from));
    const at = end;
    const others = graph.sheet.parts.some(
      (part) => part.kind !== 'resistor' && part.kind !== 'trimmer' && !part.lifted && terminalsOf(part).some(([, node]) => node === at),
    );
    if (onwards.length !== 1 || others) break;
    names.push(onwards[0].name);
    from = end;
    end = onwards[0].other;
  }
  return { names, end };
}
