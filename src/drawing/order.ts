/** Left to right: signal ranks, a first order of the columns, and where the level parts fall between them. */
import { type Circuit, type Element, isTransistor } from './elements.ts';
import type { Column, Cover, Flat, Strip } from './legs.ts';
import type { Patterns } from './patterns.ts';

/** Steps that a signal takes where it runs back from the output to the input. */
export const FEEDBACK_STEP = 4;

/** Signal rank of every node that the drive reaches: steps along coupling parts and from bases to collectors and emitters. */
export function nodeRanks(circuit: Circuit, cover: Cover): Map<string, number> {
  const ranks = new Map<string, number>();
  if (!circuit.drive) return ranks;
  const terminal = (node: string): boolean => circuit.terminals.has(node);
  const steps: { from: string; to: string; cost: number }[] = [];
  const both = (a: string, b: string, cost: number): void => {
    if (!terminal(a) && !terminal(b)) steps.push({ from: a, to: b, cost }, { from: b, to: a, cost });
  };
  const controlled = new Set(circuit.elements.filter(isTransistor).map((e) => e.control));
  const onColumn = new Set(cover.columns.filter((c) => c.role === 'leg').flatMap((c) => c.nodes));
  for (const { body } of cover.flats) {
    if (body.kind === 'end') continue;
    const bridge = onColumn.has(body.first) && onColumn.has(body.second);
    const returns = circuit.elements.some(
      (e) =>
        isTransistor(e) &&
        ((e.control === body.first && (e.first === body.second || e.second === body.second)) ||
          (e.control === body.second && (e.first === body.first || e.second === body.first))),
    );
    const intoBase = controlled.has(body.first) !== controlled.has(body.second);
    both(body.first, body.second, returns || (bridge && body.kind !== 'capacitor' && intoBase) ? FEEDBACK_STEP : 1);
  }
  for (const column of cover.columns) {
    if (column.role === 'bootstrap' || column.role === 'bypass') continue;
    for (let i = 0; i < column.bodies.length; i++) both(column.nodes[i], column.nodes[i + 1], 0);
  }
  for (const e of circuit.elements) {
    if (e.control === undefined || terminal(e.control)) continue;
    for (const end of [e.first, e.second]) if (!terminal(end)) steps.push({ from: e.control, to: end, cost: 1 });
    if (!isTransistor(e)) for (const end of [e.first, e.second]) if (!terminal(end)) steps.push({ from: end, to: e.control, cost: 0 });
  }
  // Few nodes: relaxing every step until nothing changes is quick and needs no queue.
  ranks.set(circuit.drive.node, 0);
  for (let changed = true; changed; ) {
    changed = false;
    for (const { from, to, cost } of steps) {
      const here = ranks.get(from);
      if (here === undefined) continue;
      const there = ranks.get(to);
      if (there === undefined || here + cost < there) {
        ranks.set(to, here + cost);
        changed = true;
      }
    }
  }
  return ranks;
}

/** Columns by rank; those that the drive does not reach stand before what they steer. */
export function firstOrder(circuit: Circuit, cover: Cover, ranks: Map<string, number>, patterns: Patterns): Column[] {
  const terminal = (node: string): boolean => circuit.terminals.has(node);
  const keys = new Map<Column, number>();
  const own = (c: Column): number =>
    Math.min(...c.nodes.filter((n) => !terminal(n)).map((n) => ranks.get(n) ?? Number.POSITIVE_INFINITY), Number.POSITIVE_INFINITY);
  for (const c of cover.columns) {
    if (c.role === 'generator') keys.set(c, -1);
    else if (c.role === 'load') keys.set(c, 1e6);
    else keys.set(c, own(c));
  }
  for (const c of cover.columns) {
    if (Number.isFinite(keys.get(c))) continue;
    const steered = cover.columns.filter(
      (other) => other !== c && other.bodies.some((b) => b.control !== undefined && c.nodes.includes(b.control)),
    );
    const found = Math.min(...steered.map((s) => keys.get(s) ?? Number.POSITIVE_INFINITY), Number.POSITIVE_INFINITY);
    keys.set(c, Number.isFinite(found) ? found - 0.5 : 1e5);
  }
  // What only feedback reaches stands next to the device that it steers.
  for (const c of cover.columns) {
    if (c.role !== 'leg' || c.bodies.some(isTransistor)) continue;
    const steered = cover.columns.filter(
      (other) => other !== c && other.bodies.some((b) => b.control !== undefined && c.nodes.includes(b.control)),
    );
    const least = Math.min(...steered.map((s) => keys.get(s) ?? Number.POSITIVE_INFINITY), Number.POSITIVE_INFINITY);
    if (Number.isFinite(least) && (keys.get(c) ?? 0) > least + 1.5) keys.set(c, least + 0.3);
  }
  for (const c of cover.columns) {
    if (c.beside === undefined) continue;
    const parent = cover.columns.find((other) => other.id === c.beside);
    if (parent) keys.set(c, (keys.get(parent) ?? 0) + (c.role === 'beside' ? 0.1 : 0.2));
  }
  for (const c of cover.columns) if (c.role === 'bootstrap') keys.set(c, Math.max(...c.nodes.map((n) => ranks.get(n) ?? 0)) - 0.1);
  const index = new Map(cover.columns.map((c, i) => [c, i]));
  const order = [...cover.columns].sort((a, b) => (keys.get(a) ?? 0) - (keys.get(b) ?? 0) || (index.get(a) ?? 0) - (index.get(b) ?? 0));
  for (const rule of precedences(order, ranks, patterns)) {
    // Each moves next to its neighbour on the side where it belongs.
    const at = order.indexOf(rule.after);
    if (at > order.indexOf(rule.before)) continue;
    order.splice(at, 1);
    order.splice(order.indexOf(rule.before) + 1, 0, rule.after);
  }
  return order;
}

/** What blocks demand of an order: a pair about its tail, the driven half left; a multiplier right of its chain. */
export function precedences(columns: Column[], ranks: Map<string, number>, patterns: Patterns): { before: Column; after: Column }[] {
  const rules: { before: Column; after: Column }[] = [];
  const holding = (e: Element): Column | undefined => columns.find((c) => c.bodies.includes(e));
  const rank = (e: Element): number => ranks.get(e.control ?? '') ?? Number.POSITIVE_INFINITY;
  for (const { node, left, right } of patterns.tails) {
    const [driven, other] = rank(right) < rank(left) ? [right, left] : [left, right];
    const [first, last] = [holding(driven), holding(other)];
    if (!first || !last || first === last) continue;
    const tail = columns.find((c) => c !== first && c !== last && (c.nodes[0] === node || c.nodes[c.nodes.length - 1] === node));
    if (tail) rules.push({ before: first, after: tail }, { before: tail, after: last });
    else rules.push({ before: first, after: last });
  }
  for (const { transistor, chain } of patterns.multipliers) {
    const [string, beside] = [holding(chain[0]), holding(transistor)];
    if (string && beside && string !== beside) rules.push({ before: string, after: beside });
  }
  for (const { first, second } of patterns.darlingtons) {
    const [a, b] = [holding(first), holding(second)];
    if (a && b && a !== b) rules.push({ before: a, after: b });
  }
  return rules;
}

/** Whether a strip touches a node, by an end, a joint or a control. */
export function touches(strip: Strip, node: string): boolean {
  if (strip.form === 'flat') return strip.left === node || strip.right === node;
  return strip.nodes.includes(node) || strip.bodies.some((b) => b.control === node);
}

/** Puts the level parts between the columns: as near to both of their nodes as the order allows. */
export function withFlats(columns: Column[], flats: Flat[], circuit: Circuit, ranks: Map<string, number>): Strip[] {
  const strips: Strip[] = [...columns];
  const rank = (node: string): number => ranks.get(node) ?? 1e3;
  // Open ends come last: they stand outside of everything on their node.
  const outer = (f: Flat): number => (f.body.kind === 'end' ? 1 : 0);
  const waiting = [...flats].sort(
    (a, b) => outer(a) - outer(b) || Math.min(rank(a.left), rank(a.right)) - Math.min(rank(b.left), rank(b.right)),
  );
  const terminal = (node: string): boolean => circuit.terminals.has(node);
  while (waiting.length > 0) {
    // One whose ends are both placed goes first; a chain is then closed from either side.
    const placed = (f: Flat): number => [f.left, f.right].filter((n) => !terminal(n) && strips.some((s) => touches(s, n))).length;
    let best = 0;
    for (let i = 1; i < waiting.length; i++)
      if (outer(waiting[i]) === 0 && placed(waiting[i]) > placed(waiting[best]) && placed(waiting[best]) === 0) best = i;
    const [flat] = waiting.splice(best, 1);
    const at = (node: string): number[] => (terminal(node) ? [] : strips.flatMap((s, i) => (touches(s, node) ? [i] : [])));
    const a = at(flat.body.first);
    const b = at(flat.body.second);
    let left = flat.body.first;
    let right = flat.body.second;
    let gap: number;
    if (flat.body.kind === 'end') gap = a.length > 0 ? a[a.length - 1] + 1 : (b[0] ?? 0);
    else if (a.length > 0 && b.length > 0) {
      let near: [number, number] = [a[0], b[0]];
      const distance = ([i, j]: [number, number]): number => (i === j ? 1e6 : Math.abs(i - j));
      for (const i of a) for (const j of b) if (distance([i, j]) < distance(near)) near = [i, j];
      const swap = near[0] === near[1] ? rank(left) > rank(right) : near[0] > near[1];
      if (swap) [left, right] = [right, left];
      gap = near[0] === near[1] ? near[0] + 1 : Math.min(near[0], near[1]) + 1;
    } else if (a.length > 0 || b.length > 0) {
      const [there, loose] = a.length > 0 ? [a, flat.body.second] : [b, flat.body.first];
      const known = loose === left ? right : left;
      const looseFirst = rank(loose) < rank(known);
      [left, right] = looseFirst ? [loose, known] : [known, loose];
      gap = looseFirst ? there[0] : there[there.length - 1] + 1;
    } else {
      if (rank(left) > rank(right)) [left, right] = [right, left];
      gap = strips.length;
    }
    strips.splice(gap, 0, { ...flat, left, right });
  }
  return strips;
}
