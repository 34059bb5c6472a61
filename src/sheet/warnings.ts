/** Warnings of a sheet that is legal but probably not meant so. */
import { nearestName } from './nearest.ts';
import type { Log } from './rule.ts';
import { terminalsOf } from './terminals.ts';
import { GROUND, type NodeName, type Sheet } from './types.ts';

/** Report lone ends of parts, names that differ in case alone, and parts that can carry no current. */
export function sheetWarnings(sheet: Sheet, log: Log): void {
  const alone = loneEnds(sheet, log);
  sameButForCase(sheet, log);
  idleParts(sheet, alone, log);
}

/** Nodes on which something hangs besides the parts: they are no slip where one part hangs on them. */
function outsideNodes(sheet: Sheet): Set<NodeName> {
  const nodes = new Set([GROUND, ...sheet.supplies.map((supply) => supply.node), ...sheet.loads.map((load) => load.to)]);
  if (sheet.output !== undefined) nodes.add(sheet.output);
  if (sheet.drive !== undefined) nodes.add(sheet.drive.node);
  return nodes;
}

/** A node with one thing on it; returns the parts that are named so. */
function loneEnds(sheet: Sheet, log: Log): Set<string> {
  const ends = new Map<NodeName, { part: string; terminal: string }[]>();
  for (const part of sheet.parts) {
    for (const [terminal, node] of terminalsOf(part)) {
      const here = ends.get(node) ?? [];
      here.push({ part: part.name, terminal });
      ends.set(node, here);
    }
  }
  const outside = outsideNodes(sheet);
  const known = new Set([...outside, ...ends.keys()]);
  const alone = new Set<string>();
  for (const [node, here] of ends) {
    const [only] = here;
    if (here.length > 1 || outside.has(node)) continue;
    alone.add(only.part);
    const near = nearestName(node, known);
    const remedy = near === null ? 'connect something else to it, or take the part away' : `is "${near}" meant?`;
    log.reportAt(
      `parts.${only.part}.${only.terminal}`,
      'lone-end',
      `Only ${only.part} hangs on the node "${node}"; ${remedy}${near === null ? '.' : ''}`,
      'warning',
    );
  }
  return alone;
}

/** Two names of one sort that differ in capitals alone. */
function sameButForCase(sheet: Sheet, log: Log): void {
  const nodes = new Map<string, string>();
  for (const { node } of sheet.supplies) nodes.set(node, `supplies.${node}`);
  for (const part of sheet.parts)
    for (const [terminal, node] of terminalsOf(part)) if (!nodes.has(node)) nodes.set(node, `parts.${part.name}.${terminal}`);
  const sorts: [string, Iterable<[string, string]>][] = [
    ['nodes', [[GROUND, ''], ...nodes]],
    ['parts', sheet.parts.map(({ name }): [string, string] => [name, `parts.${name}`])],
    ['devices', sheet.devices.map(({ name }): [string, string] => [name, `devices.${name}`])],
    ['loads', sheet.loads.map(({ name }): [string, string] => [name, `loads.${name}`])],
  ];
  for (const [sort, names] of sorts) {
    const seen = new Map<string, string>();
    for (const [name, path] of names) {
      const folded = name.toLowerCase();
      const before = seen.get(folded);
      if (before === undefined) seen.set(folded, name);
      else if (before !== name)
        log.reportAt(
          path,
          'differs-in-case',
          `The ${sort} "${before}" and "${name}" differ in capitals alone and are two; if one is meant, write it one way.`,
          'warning',
        );
    }
  }
}

/**
 * Parts through which no current can ever flow, whatever the load: an edge of the circuit's graph that lies on no
 * closed path (a bridge). Three-terminal parts stand as a star; such a part idles if every arm of it does.
 * Bridges by lowest reachable depth: Tarjan, Information Processing Letters 2, 1974.
 */
function idleParts(sheet: Sheet, alone: ReadonlySet<string>, log: Log): void {
  const edges: { a: string; b: string; part: string | null }[] = [];
  for (const part of sheet.parts) {
    const ends = terminalsOf(part);
    if (ends.length === 2) edges.push({ a: ends[0][1], b: ends[1][1], part: part.name });
    else for (const [, node] of ends) edges.push({ a: node, b: `${part.name}.`, part: part.name });
  }
  for (const { node } of sheet.supplies) edges.push({ a: node, b: GROUND, part: null });
  if (sheet.drive !== undefined) edges.push({ a: sheet.drive.node, b: GROUND, part: null });
  // Somebody will hang something on the output, even where the sheet lists no load.
  if (sheet.output !== undefined) edges.push({ a: sheet.output, b: GROUND, part: null });
  for (const load of sheet.loads) if (sheet.output !== undefined && !load.open) edges.push({ a: sheet.output, b: load.to, part: null });
  const carrying = new Set<string>();
  const bridges = bridgesOf(edges);
  edges.forEach(({ part }, index) => {
    if (part !== null && !bridges.has(index)) carrying.add(part);
  });
  for (const { name } of sheet.parts) {
    if (carrying.has(name) || alone.has(name)) continue;
    log.reportAt(
      `parts.${name}`,
      'carries-no-current',
      `${name} can carry no current: no closed path leads through it; check its connections.`,
      'warning',
    );
  }
}

/** Indices of the edges whose removal parts the graph. Iterative, so that long chains cannot overflow a stack. */
function bridgesOf(edges: readonly { a: string; b: string }[]): Set<number> {
  const at = new Map<string, { edge: number; other: string }[]>();
  const hang = (node: string, edge: number, other: string): void => {
    const list = at.get(node) ?? [];
    list.push({ edge, other });
    at.set(node, list);
  };
  edges.forEach(({ a, b }, edge) => {
    hang(a, edge, b);
    hang(b, edge, a);
  });
  const depth = new Map<string, number>();
  const lowest = new Map<string, number>();
  const bridges = new Set<number>();
  for (const root of at.keys()) {
    if (depth.has(root)) continue;
    depth.set(root, 0);
    lowest.set(root, 0);
    const stack = [{ node: root, via: -1, next: 0 }];
    for (let top = stack.at(-1); top !== undefined; top = stack.at(-1)) {
      const step = at.get(top.node)?.[top.next];
      top.next += 1;
      const here = lowest.get(top.node) ?? 0;
      if (step === undefined) {
        stack.pop();
        const parent = stack.at(-1);
        if (parent === undefined) continue;
        lowest.set(parent.node, Math.min(lowest.get(parent.node) ?? 0, here));
        if (here > (depth.get(parent.node) ?? 0)) bridges.add(top.via);
      } else if (step.edge !== top.via) {
        const known = depth.get(step.other);
        if (known !== undefined) lowest.set(top.node, Math.min(here, known));
        else {
          depth.set(step.other, stack.length);
          lowest.set(step.other, stack.length);
          stack.push({ node: step.other, via: step.edge, next: 0 });
        }
      }
    }
  }
  return bridges;
}
