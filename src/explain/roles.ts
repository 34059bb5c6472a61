/** What each transistor does in its stage: a role from connections and signal grounds, with the facts a sentence needs. */
import { connectedLoad } from '../circuit/network.ts';
import type { NodeName, Sheet, Transistor } from '../sheet/types.ts';
import type { Role } from './role.ts';
import { SignalGraph } from './roles-graph.ts';
import { compounds, mirrors, multiplier, type Partnership, pairs } from './roles-groups.ts';

export type { Role } from './role.ts';

/**
 * The role of every transistor of a sheet, by designator. Decided by what is connected to what and by what is ground to
 * the signal (supplies, ground, and nodes tied to them by capacitors nearer short than open at the drive frequency);
 * names and the order of parts do not count. A transistor that fits no role is `not clear`.
 */
export function rolesOf(sheet: Sheet): Record<string, Role> {
  const graph = new SignalGraph(sheet);
  const groups = new Map<string, Partnership>();
  // What is recognised first stays: the tighter the pattern, the earlier it is looked for.
  for (const found of [...mirrors(graph), ...compounds(graph), ...pairs(graph, (t) => isFollower(graph, t))]) {
    if (!groups.has(found.part)) groups.set(found.part, found);
  }
  const roles: Record<string, Role> = {};
  for (const t of graph.transistors) {
    const group = groups.get(t.name);
    roles[t.name] = group ? inGroup(graph, t, group) : single(graph, t);
  }
  for (const part of sheet.parts) {
    if ((part.kind === 'npn' || part.kind === 'pnp') && !(part.name in roles))
      roles[part.name] = { name: 'not clear', polarity: part.kind };
  }
  return roles;
}

/** The role of one of several that work together, with what hangs on their common output. */
function inGroup(graph: SignalGraph, t: Transistor, group: Partnership): Role {
  const { part: _, common, ...facts } = group;
  const role: Role = { ...facts, polarity: t.kind };
  if (facts.name === 'half of a complementary pair' || facts.name === 'half of a differential pair') {
    const between = graph
      .resistorsAt(t.emitter)
      .filter((r) => common !== undefined && !graph.same(t.emitter, common) && graph.same(r.other, common));
    if (between.length > 0) role.degeneration = between.map((r) => r.name);
    if (facts.name === 'half of a complementary pair') {
      const here = surroundingsOf(graph, t, common ?? t.emitter);
      const own = new Set([...between.map((r) => r.name), ...partnersResistors(graph, group)]);
      const drives = (here.drives ?? []).filter((name) => !own.has(name));
      return { ...role, ...here, ...(drives.length > 0 ? { drives } : { drives: undefined }) };
    }
    const tail = common === undefined ? [] : tailOf(graph, common);
    return { ...role, ...surroundingsOf(graph, t, t.collector), ...(tail.length > 0 ? { tail } : {}) };
  }
  if (facts.position === 'first' || facts.position === 'input') return role;
  if (facts.name === 'mirror') {
    const degeneration = emitterResistors(graph, t);
    return { ...role, ...(degeneration.length > 0 ? { degeneration } : {}) };
  }
  const complementary = facts.name === 'complementary Darlington member';
  const output = complementary || facts.compound === 'common emitter' ? t.collector : t.emitter;
  const here = surroundingsOf(graph, t, output);
  const inner = graph.resistorsAt(t.base).map((r) => r.name);
  const drives = (here.drives ?? []).filter((name) => !inner.includes(name));
  const degeneration = facts.compound === 'common emitter' && !complementary ? emitterResistors(graph, t) : [];
  return {
    ...role,
    ...here,
    ...(drives.length > 0 ? { drives } : { drives: undefined }),
    ...(degeneration.length > 0 ? { degeneration } : {}),
  };
}

/** Resistors by which the other half of a complementary pair meets the common point. */
function partnersResistors(graph: SignalGraph, group: Partnership): string[] {
  const partner = graph.transistors.find((t) => t.name === group.partner);
  if (!partner || group.common === undefined || graph.same(partner.emitter, group.common)) return [];
  return graph.resistorsAt(partner.emitter).flatMap((r) => (graph.same(r.other, group.common!) ? [r.name] : []));
}

/** What the joined emitters of a differential pair stand on: resistors to signal ground, ideal currents, a sink's collector. */
function tailOf(graph: SignalGraph, common: NodeName): string[] {
  const tail = graph.resistorsAt(common).flatMap((r) => (graph.grounded(r.other) ? [r.name] : []));
  for (const part of graph.sheet.parts) {
    if (part.lifted) continue;
    if (part.kind === 'current' && (graph.same(part.from, common) || graph.same(part.to, common))) tail.push(part.name);
    if ((part.kind === 'npn' || part.kind === 'pnp') && graph.same(part.collector, common)) tail.push(part.name);
  }
  return tail;
}

/** The signal reaches the base, and not by way of the emitter. */
function drivenAtBase(graph: SignalGraph, t: Transistor): boolean {
  if (graph.grounded(t.base)) return false;
  const { drive } = graph.sheet;
  if (!drive) return true;
  if (graph.sameSignal(drive.node, t.emitter)) return false;
  return Number.isFinite(graph.distances(drive.node, false, t, t.emitter)(t.base));
}
function drivenAtEmitter(graph: SignalGraph, t: Transistor): boolean {
  const drive = graph.sheet.drive;
  return !graph.grounded(t.emitter) && drive !== undefined && Number.isFinite(graph.distances(drive.node, false, t)(t.emitter));
}

/** How far the output lies from a terminal, not going through the transistor itself. */
function toOutput(graph: SignalGraph, t: Transistor, terminal: NodeName): number {
  const { output } = graph.sheet;
  return output === undefined ? Number.POSITIVE_INFINITY : graph.distances(output, true, t)(terminal);
}

/** Collector at rest for the signal or leading nowhere, emitter leading on. */
function isFollower(graph: SignalGraph, t: Transistor): boolean {
  if (!drivenAtBase(graph, t) || graph.grounded(t.emitter)) return false;
  if (graph.grounded(t.collector)) return true;
  return toOutput(graph, t, t.emitter) < toOutput(graph, t, t.collector);
}

function single(graph: SignalGraph, t: Transistor): Role {
  const polarity = t.kind;
  const degeneration = emitterResistors(graph, t);
  const withDegeneration = degeneration.length > 0 ? { degeneration } : {};
  if (graph.same(t.base, t.collector)) return { name: 'diode-connected', polarity };
  const divider = multiplier(graph, t);
  if (divider) return { name: 'V_BE multiplier', polarity, divider };
  if (isFollower(graph, t)) return { name: 'follower', polarity, ...surroundingsOf(graph, t, t.emitter) };
  if (drivenAtBase(graph, t)) {
    if (graph.grounded(t.collector)) return { name: 'not clear', polarity };
    if (!graph.grounded(t.emitter) && degeneration.length === 0) return { name: 'not clear', polarity };
    const name = isSwitch(graph, t) ? 'switch' : 'common emitter';
    return { name, polarity, ...withDegeneration, ...surroundingsOf(graph, t, t.collector) };
  }
  if (drivenAtEmitter(graph, t) && !graph.grounded(t.collector))
    return { name: 'common base', polarity, ...surroundingsOf(graph, t, t.collector) };
  if (standsOnRail(graph, t) && !graph.grounded(t.collector))
    return { name: t.kind === 'npn' ? 'current sink' : 'current source', polarity, ...withDegeneration };
  return { name: 'not clear', polarity };
}

/** Emitter on a rail, straight or through resistors alone: its current is set by its base. */
function standsOnRail(graph: SignalGraph, t: Transistor): boolean {
  return graph.isRail(t.emitter) || graph.resistorsAt(t.emitter).some((r) => graph.isRail(r.other));
}

/** Emitter straight on a rail, and a base that the signal reaches for direct current too but that no other rail biases. */
function isSwitch(graph: SignalGraph, t: Transistor): boolean {
  if (!graph.isRail(t.emitter) || graph.sheet.drive === undefined) return false;
  const around = graph.resistorsAt(t.base);
  const biased = around.some((r) => graph.isRail(r.other) && !graph.same(r.other, t.emitter));
  return !biased && around.some((r) => graph.same(r.other, graph.sheet.drive!.node));
}

/** Resistors from the emitter to signal ground or on towards it, where the emitter itself is not at signal ground. */
function emitterResistors(graph: SignalGraph, t: Transistor): string[] {
  if (graph.grounded(t.emitter)) return [];
  return graph.resistorsAt(t.emitter).flatMap((r) => (graph.grounded(r.other) ? [r.name] : []));
}

/** What ties an output terminal to signal ground, what goes on from it, and whether the load hangs there. */
function surroundingsOf(graph: SignalGraph, t: Transistor, output: NodeName): Pick<Role, 'load' | 'drives' | 'feeds'> {
  const { sheet } = graph;
  const load: string[] = [];
  const drives: string[] = [];
  for (const r of graph.resistorsAt(output)) (graph.grounded(r.other) ? load : drives).push(r.name);
  for (const part of sheet.parts) {
    if (part.lifted || part.name === t.name) continue;
    if (part.kind === 'capacitor' && graph.same(part.from, output) !== graph.same(part.to, output)) {
      if (!graph.grounded(part.from) && !graph.grounded(part.to)) drives.push(part.name);
    } else if (part.kind === 'current' && (graph.same(part.from, output) || graph.same(part.to, output))) load.push(part.name);
    else if (part.kind === 'inductor' && (part.from === output || part.to === output)) load.push(part.name);
    else if (part.kind === 'speaker' && !load.includes(part.name) && (part.from === output || part.to === output)) load.push(part.name);
    else if (part.kind === 'npn' || part.kind === 'pnp') {
      if (graph.same(part.base, output)) drives.push(part.name);
      else if (graph.same(part.collector, output) && !drivenAtBase(graph, part) && standsOnRail(graph, part)) load.push(part.name);
      else if (graph.same(part.emitter, output) && !graph.same(t.emitter, output) && !drivenAtBase(graph, part)) drives.push(part.name);
    }
  }
  const name = connectedLoad(sheet)?.name;
  const feeds = name !== undefined && sheet.output !== undefined && graph.sameSignal(output, sheet.output) ? { feeds: name } : {};
  return { ...(load.length > 0 ? { load } : {}), ...(drives.length > 0 ? { drives } : {}), ...feeds };
}
