/**
 * The cover of a circuit by upright columns and level parts. A column is a leg, a part
 * that stands beside one, the generator or the load; what is left lies level between columns.
 */
import { GROUND } from '../sheet/types.ts';
import { type Circuit, conducts, type Element, isInner, isTransistor } from './elements.ts';
import type { Flow } from './flow.ts';
import type { Patterns } from './patterns.ts';

export type ColumnRole = 'leg' | 'beside' | 'bypass' | 'bootstrap' | 'generator' | 'load';

/** Upright bodies with a node before, between and after them: `nodes` is one longer than `bodies`. */
export interface Column {
  form: 'column';
  id: string;
  role: ColumnRole;
  nodes: string[];
  bodies: Element[];
  firstUp: boolean[];
  /** Id of the column that it keeps beside. */
  beside?: string;
}
/** One part that lies between two nodes; `left` and `right` are settled with the order. */
export interface Flat {
  form: 'flat';
  id: string;
  body: Element;
  left: string;
  right: string;
}
export type Strip = Column | Flat;

export interface Cover {
  columns: Column[];
  flats: Flat[];
}

export function columnOf(role: ColumnRole, bodies: Element[], nodes: string[]): Column {
  return {
    form: 'column',
    id: bodies.map((b) => b.id).join(' '),
    role,
    nodes,
    bodies,
    firstUp: bodies.map((b, i) => b.first === nodes[i]),
  };
}

/** Column of one element that stands by the flow. */
function single(role: ColumnRole, e: Element, flow: Flow): Column {
  return columnOf(role, [e], flow.firstUp(e) ? [e.first, e.second] : [e.second, e.first]);
}

export function coverOf(circuit: Circuit, flow: Flow, patterns: Patterns): Cover {
  const terminal = (node: string): boolean => circuit.terminals.has(node);
  const columns: Column[] = [];
  const flats: Flat[] = [];
  const aside = new Set(patterns.multipliers.map((m) => m.transistor));
  const chained = new Set(patterns.multipliers.flatMap((m) => m.chain));
  const tails = new Set(patterns.tails.map((t) => t.node));
  const loadInLeg = circuit.loadTo !== undefined && circuit.loadTo !== GROUND;
  const edges = circuit.elements.filter(
    (e) =>
      conducts(e) &&
      e.owner !== 'drive' &&
      !patterns.intoBases.includes(e) &&
      (e.owner !== 'load' || (loadInLeg && terminal(e.second) && !isInner(e.first))),
  );
  // The chain of a multiplier is the leg and its transistor stands beside; the first of a Darlington follows the second.
  const firsts = new Set(patterns.darlingtons.map((d) => d.first));
  const weight = (e: Element): number =>
    aside.has(e) ? -1 : firsts.has(e) ? flow.weight(e) * 1e-3 : chained.has(e) ? flow.weight(e) + 1e-9 : flow.weight(e);
  const upper = (e: Element): string => (flow.firstUp(e) ? e.first : e.second);
  const lower = (e: Element): string => (flow.firstUp(e) ? e.second : e.first);

  const uncovered = new Set(edges);
  const onLeg = new Set<string>(tails);
  const strongest = (some: Element[]): Element | undefined =>
    some.reduce<Element | undefined>((best, e) => (best && weight(best) >= weight(e) ? best : e), undefined);
  const pending: Column[] = [];
  while (uncovered.size > 0) {
    const start = strongest([...uncovered]);
    if (!start) break;
    uncovered.delete(start);
    const bodies = [start];
    const nodes = [upper(start), lower(start)];
    const grow = (up: boolean): void => {
      for (;;) {
        const node = up ? nodes[0] : nodes[nodes.length - 1];
        if (terminal(node) || onLeg.has(node)) return;
        const next = strongest(
          [...uncovered].filter(
            (e) => !aside.has(e) && (up ? lower(e) === node && !nodes.includes(upper(e)) : upper(e) === node && !nodes.includes(lower(e))),
          ),
        );
        if (!next) return;
        uncovered.delete(next);
        if (up) {
          bodies.unshift(next);
          nodes.unshift(upper(next));
        } else {
          bodies.push(next);
          nodes.push(lower(next));
        }
      }
    };
    if (!aside.has(start)) {
      grow(true);
      grow(false);
    }
    for (const node of nodes) if (!terminal(node)) onLeg.add(node);
    pending.push(columnOf('leg', bodies, nodes));
  }

  // A lone part whose end hangs on no leg, or that joins two legs, lies level; one across a leg stands beside it.
  const legNodes = (except: Column): Set<string> =>
    new Set(
      pending
        .filter((c) => c !== except && (c.bodies.length > 1 || c.bodies.some(isTransistor) || c.nodes.some(terminal)))
        .flatMap((c) => c.nodes),
    );
  for (const column of pending) {
    const anchored = column.nodes.some(terminal) || column.bodies.some(isTransistor);
    if (anchored) {
      columns.push(column);
      continue;
    }
    const across = pending.find(
      (c) => c !== column && c.nodes.includes(column.nodes[0]) && c.nodes.includes(column.nodes[column.nodes.length - 1]),
    );
    if (across) {
      columns.push({ ...column, role: 'beside', beside: across.id });
      continue;
    }
    const others = legNodes(column);
    const hanging = column.nodes.filter((node) => !others.has(node)).length;
    if (column.bodies.length > 1 && hanging === 0) columns.push(column);
    else for (const body of column.bodies) flats.push({ form: 'flat', id: body.id, body, left: body.first, right: body.second });
  }

  for (const body of circuit.elements)
    if (body.kind === 'end') flats.push({ form: 'flat', id: body.id, body, left: body.first, right: body.second });
  for (const body of patterns.intoBases) flats.push({ form: 'flat', id: body.id, body, left: body.first, right: body.second });
  for (const e of circuit.elements) {
    if (e.kind !== 'capacitor' || e.owner !== 'part') continue;
    const across = columns.find(
      (c) => c.nodes.includes(e.first) && c.nodes.includes(e.second) && !(terminal(e.first) && terminal(e.second)),
    );
    if (terminal(e.first) || terminal(e.second)) {
      const node = terminal(e.first) ? e.second : e.first;
      const beside = columns.find((c) => c.role === 'leg' && c.nodes.includes(node) && !terminal(node));
      columns.push({ ...single('bypass', e, flow), beside: beside?.id });
    } else if (across) columns.push({ ...single('beside', e, flow), beside: across.id });
    else if (patterns.bootstraps.includes(e)) columns.push(single('bootstrap', e, flow));
    else flats.push({ form: 'flat', id: e.id, body: e, left: e.first, right: e.second });
  }

  // A diode or a resistor in parallel with one on a leg, both ends the same: beside it.
  for (const column of columns) {
    if (column.role !== 'leg' || column.bodies.length !== 1 || isTransistor(column.bodies[0])) continue;
    const twin = columns.find(
      (c) =>
        c !== column &&
        c.role === 'leg' &&
        c.bodies.length > 1 &&
        !terminal(column.nodes[0] === c.nodes[0] ? column.nodes[1] : column.nodes[0]) &&
        c.nodes.includes(column.nodes[0]) &&
        c.nodes.includes(column.nodes[1]),
    );
    if (twin && conducts(column.bodies[0]) && column.nodes.some(terminal)) {
      column.role = 'bypass';
      column.beside = twin.id;
    }
  }

  const drive = circuit.elements.filter((e) => e.owner === 'drive' && e.kind !== 'end');
  if (drive.length > 0) columns.unshift(columnOf('generator', drive, [drive[0].first, ...drive.map((e) => e.second)]));
  const load = circuit.elements.filter((e) => e.owner === 'load' && !(loadInLeg && edges.includes(e)));
  if (load.length > 0) {
    const series = load.some((e) => isInner(e.first));
    if (series) {
      const down = columnOf('load', load, [load[0].first, ...load.map((e) => e.second)]);
      columns.push(loadInLeg && circuit.loadTo === circuit.top ? columnOf('load', [...load].reverse(), [...down.nodes].reverse()) : down);
    } else
      for (const e of load)
        columns.push(
          loadInLeg && circuit.loadTo === circuit.top
            ? columnOf('load', [e], [e.second, e.first])
            : columnOf('load', [e], [e.first, e.second]),
        );
  }
  return { columns, flats };
}
