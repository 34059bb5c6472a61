/**
 * Sheets that are well formed but cannot work electrically, told from the connections alone: nodes without a path for
 * direct current, and loops of sources in which nothing resists. Both make the equations of the circuit singular
 * (Ho, Ruehli, Brennan, IEEE Trans. Circuits and Systems 22, 1975, on loops of voltage sources and cut-sets of
 * current sources).
 */
import { terminalsOf } from '../sheet/terminals.ts';
import { GROUND, type Load, type NodeName, type Part, type Problem, type Sheet } from '../sheet/types.ts';

/** One impossibility: like a problem, without its place in the text, with the nodes and parts by name. */
export interface TopologyFinding {
  severity: Problem['severity'];
  code: 'floating-node' | 'source-loop';
  /** Dotted path of the thing to blame. */
  path: string;
  nodes: NodeName[];
  parts: string[];
  sentence: string;
}

/** A connection between two nodes; `what` names it in a sentence, `path` in the sheet. */
interface Edge {
  a: NodeName;
  b: NodeName;
  what: string;
  path: string;
  /** What would take it out of a loop. */
  cure: string;
}

/**
 * Check a sheet. With `load` (a name, or null for an open output) what is found with that load is an error. Without,
 * every named load is checked: what is found with all of them is an error, with some of them a warning that names
 * them.
 */
export function checkTopology(sheet: Sheet, load?: string | null): TopologyFinding[] {
  if (load !== undefined) return findingsWith(sheet, sheet.loads.find(({ name }) => name === load) ?? null);
  if (sheet.loads.length === 0) return findingsWith(sheet, null);
  const byLoad = sheet.loads.map((each) => ({ load: each, findings: findingsWith(sheet, each) }));
  const merged = new Map<string, { finding: TopologyFinding; loads: string[] }>();
  for (const { load: each, findings } of byLoad) {
    for (const finding of findings) {
      const key = `${finding.code} ${[...finding.nodes, ...finding.parts].join(' ')}`;
      const before = merged.get(key);
      if (before === undefined) merged.set(key, { finding, loads: [each.name] });
      else before.loads.push(each.name);
    }
  }
  return [...merged.values()].map(({ finding, loads }) => (loads.length === sheet.loads.length ? finding : withSomeLoads(finding, loads)));
}

function withSomeLoads(finding: TopologyFinding, loads: readonly string[]): TopologyFinding {
  const which = `With the load ${loads.join(' or ')} connected: `;
  return { ...finding, severity: 'warning', sentence: `${which}${finding.sentence}` };
}

function findingsWith(sheet: Sheet, load: Load | null): TopologyFinding[] {
  return [...floating(sheet, load), ...loops(sheet, load)];
}

/** Sets of nodes joined by edges (union by path halving). */
class Islands {
  private readonly parent = new Map<NodeName, NodeName>();

  root(node: NodeName): NodeName {
    let at = node;
    for (let up = this.parent.get(at); up !== undefined; up = this.parent.get(at)) {
      const above = this.parent.get(up);
      if (above !== undefined) this.parent.set(at, above);
      at = up;
    }
    return at;
  }

  /** Join two nodes; false if they were joined before. */
  join(a: NodeName, b: NodeName): boolean {
    const [rootA, rootB] = [this.root(a), this.root(b)];
    if (rootA === rootB) return false;
    this.parent.set(rootA, rootB);
    return true;
  }
}

/** Pairs of nodes between which a part lets direct current pass. Junctions, inductors and leakage count. */
function directPaths(part: Part): [NodeName, NodeName][] {
  if (part.lifted === true) return [];
  switch (part.kind) {
    case 'npn':
    case 'pnp':
      if (part.shorted === true) return [[part.collector, part.emitter]];
      return [
        [part.base, part.emitter],
        [part.base, part.collector],
      ];
    case 'diode':
      return [[part.anode, part.cathode]];
    case 'trimmer':
      return part.shorted === true
        ? [[part.from, part.to]]
        : [
            [part.from, part.wiper],
            [part.wiper, part.to],
          ];
    case 'capacitor':
      return part.shorted === true || (part.leakage > 0 && part.rating !== undefined) ? [[part.from, part.to]] : [];
    case 'current':
      return part.shorted === true ? [[part.from, part.to]] : [];
    default:
      return [[part.from, part.to]];
  }
}

function loadPasses(load: Load): boolean {
  if (load.open) return false;
  if (load.speaker !== undefined) return true;
  if (load.series) return load.capacitor === undefined && (load.resistor !== undefined || load.inductor !== undefined);
  return load.resistor !== undefined || load.inductor !== undefined;
}

function floating(sheet: Sheet, load: Load | null): TopologyFinding[] {
  const islands = new Islands();
  for (const { node } of sheet.supplies) islands.join(node, GROUND);
  if (sheet.drive !== undefined) islands.join(sheet.drive.node, GROUND);
  for (const part of sheet.parts) for (const [a, b] of directPaths(part)) islands.join(a, b);
  if (sheet.output !== undefined && load !== null && loadPasses(load)) islands.join(sheet.output, load.to);
  const afloat = new Map<NodeName, NodeName[]>();
  for (const node of liveNodes(sheet)) {
    const root = islands.root(node);
    if (root !== islands.root(GROUND)) afloat.set(root, [...(afloat.get(root) ?? []), node]);
  }
  return [...afloat.values()].map((nodes) => floatingFinding(sheet, nodes));
}

/** Nodes on which something hangs that is not lifted, and the output. */
function liveNodes(sheet: Sheet): Set<NodeName> {
  const live = new Set<NodeName>();
  for (const part of sheet.parts) if (part.lifted !== true) for (const [, node] of terminalsOf(part)) live.add(node);
  if (sheet.output !== undefined) live.add(sheet.output);
  return live;
}

function floatingFinding(sheet: Sheet, nodes: NodeName[]): TopologyFinding {
  const touching = sheet.parts.flatMap((part) =>
    part.lifted === true ? [] : terminalsOf(part).flatMap(([terminal, node]) => (nodes.includes(node) ? [{ part, terminal }] : [])),
  );
  const [first] = touching;
  const parts = [...new Set(touching.map(({ part }) => part.name))];
  const [node] = nodes;
  const subject = nodes.length === 1 ? `The node ${node} has` : `The nodes ${listed(nodes)} have`;
  const why =
    parts.length === 0
      ? 'nothing is connected to it'
      : `only ${listed(parts)} ${parts.length === 1 ? 'leads' : 'lead'} there, and ${blocked(touching.map(({ part }) => part))}`;
  return {
    severity: 'error',
    code: 'floating-node',
    path: first === undefined ? 'output' : `parts.${first.part.name}.${first.terminal}`,
    nodes,
    parts,
    sentence: `${subject} no path for direct current, so nothing settles the voltage: ${why}; put a resistor, such as 1M, from ${node} to ${GROUND} or to a rail.`,
  };
}

function blocked(parts: readonly Part[]): string {
  const current = parts.some((part) => part.kind === 'current');
  const capacitor = parts.some((part) => part.kind === 'capacitor');
  if (current && capacitor) return 'neither a capacitor nor a current source is such a path';
  if (current) return 'a current source is no such path';
  return capacitor ? 'a capacitor is no such path' : 'none of it leads on to ground';
}

function listed(names: readonly string[]): string {
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

/** Connections whose voltage is fixed whatever the current: sources without resistance, and what is a short to direct current. */
function stiffEdges(sheet: Sheet, load: Load | null): Edge[] {
  const edges: Edge[] = [];
  for (const { node, resistance } of sheet.supplies) {
    if (resistance === 0)
      edges.push({
        a: node,
        b: GROUND,
        what: `the supply ${node}`,
        path: `supplies.${node}`,
        cure: `give the supply ${node} a \`resistance\`, such as 0.1 ohm`,
      });
  }
  const { drive } = sheet;
  if (drive !== undefined && drive.sourceResistance === 0) {
    edges.push({
      a: drive.node,
      b: GROUND,
      what: 'the generator',
      path: 'drive',
      cure: 'give the drive a `sourceResistance`, such as 50 ohm',
    });
  }
  for (const part of sheet.parts) edges.push(...stiffParts(part));
  if (load !== null && sheet.output !== undefined && isStiff(load)) {
    const path = `loads.${load.name}`;
    edges.push({
      a: sheet.output,
      b: load.to,
      what: `the inductor of the load ${load.name}`,
      path,
      cure: `put the resistance of the wire of ${load.name} in with \`resistor\` and \`series: true\``,
    });
  }
  // The track of a trimmer that is wired as a variable resistor may end on its own wiper's node: no loop.
  return edges.filter(({ a, b }) => a !== b);
}

function isStiff(load: Load): boolean {
  if (load.inductor === undefined) return false;
  return !load.series || (load.resistor === undefined && load.capacitor === undefined);
}

function stiffParts(part: Part): Edge[] {
  if (part.lifted === true) return [];
  const { name, kind } = part;
  const path = `parts.${name}`;
  const edge = (a: NodeName, b: NodeName, cure: string): Edge[] => [{ a, b, what: name, path, cure }];
  if (part.shorted === true) {
    const [a, b] =
      'collector' in part ? [part.collector, part.emitter] : 'anode' in part ? [part.anode, part.cathode] : [part.from, part.to];
    return edge(a, b, `take the short of ${name} away`);
  }
  if (kind === 'voltage' && part.resistance === 0) return edge(part.from, part.to, `give ${name} a \`resistance\`, such as 0.1 ohm`);
  if (kind === 'inductor' && part.seriesResistance === 0)
    return edge(part.from, part.to, `give ${name} the \`seriesResistance\` of its wire`);
  if (kind === 'trimmer' && part.position === 0) return edge(part.from, part.wiper, `move the \`position\` of ${name} off its end`);
  if (kind === 'trimmer' && part.position === 1) return edge(part.wiper, part.to, `move the \`position\` of ${name} off its end`);
  return [];
}

function loops(sheet: Sheet, load: Load | null): TopologyFinding[] {
  const islands = new Islands();
  const tree: Edge[] = [];
  const findings: TopologyFinding[] = [];
  for (const edge of stiffEdges(sheet, load)) {
    if (islands.join(edge.a, edge.b)) {
      tree.push(edge);
      continue;
    }
    const ring = [...pathBetween(tree, edge.a, edge.b), edge];
    findings.push({
      severity: 'error',
      code: 'source-loop',
      path: edge.path,
      nodes: [...new Set(ring.flatMap(({ a, b }) => [a, b]))],
      parts: ring.map(({ what }) => what),
      sentence: loopSentence(ring, edge),
    });
  }
  return findings;
}

function loopSentence(ring: readonly Edge[], last: Edge): string {
  return `${capital(listed(ring.map(({ what }) => what)))} form a loop in which nothing resists, at ${listed([...new Set(ring.flatMap(({ a, b }) => [a, b]))])}, so nothing settles the current in it; ${last.cure}.`;
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

/** The edges of a forest that lead from one node to another. */
function pathBetween(tree: readonly Edge[], from: NodeName, to: NodeName): Edge[] {
  const cameBy = new Map<NodeName, { edge: Edge; before: NodeName }>();
  const queue: NodeName[] = [from];
  for (let node = queue.shift(); node !== undefined && node !== to; node = queue.shift()) {
    for (const edge of tree) {
      const next = edge.a === node ? edge.b : edge.b === node ? edge.a : null;
      if (next === null || next === from || cameBy.has(next)) continue;
      cameBy.set(next, { edge, before: node });
      queue.push(next);
    }
  }
  const path: Edge[] = [];
  for (let step = cameBy.get(to); step !== undefined && path.length <= tree.length; step = cameBy.get(step.before)) path.push(step.edge);
  return path;
}
