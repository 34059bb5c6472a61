/** Where each node touches the strips of an order, and which touching places are neighbours on a common row. */
import { type Circuit, type Element, isTransistor } from './elements.ts';
import type { Strip } from './legs.ts';
import type { Patterns } from './patterns.ts';

export type Side = 'left' | 'right';

/** One place where a node can be joined from the side. */
export interface Touch {
  node: string;
  strip: number;
  /** `joint`: the leg goes on above and below; `end`: a column begins or ends there. */
  kind: 'joint' | 'end' | 'control' | 'flat';
  /** Index of the node in the column, or of the body for a control. */
  at: number;
  /** Variables of the rows on which a wire from the left and one from the right arrive; null: none can. */
  left: string | null;
  right: string | null;
  key: number;
}
/** Two neighbouring touches of one node, to be joined by a level wire. */
export interface Link {
  node: string;
  from: Touch;
  to: Touch;
  /** True where a device stands in the way of a level wire. */
  blocked: boolean;
}

export const bodyRow = (strip: number, body: number): string => `${strip}.b${body}`;
export const upperRow = (strip: number, joint: number): string => `${strip}.u${joint}`;
export const lowerRow = (strip: number, joint: number): string => `${strip}.l${joint}`;

/** Which way each base and wiper points: towards the nearest other place of its node. */
export function facings(strips: Strip[], circuit: Circuit, patterns: Patterns): Map<string, Side> {
  const found = new Map<string, Side>();
  const column = (e: Element): number => strips.findIndex((s) => s.form === 'column' && s.bodies.includes(e));
  const blocks = new Map<Element, Side>();
  // The halves of a pair turn outwards, those of a mirror face each other.
  for (const { left, right } of patterns.tails) {
    const inOrder = column(left) < column(right);
    blocks.set(left, inOrder ? 'left' : 'right').set(right, inOrder ? 'right' : 'left');
  }
  for (const { input, output } of patterns.mirrors) {
    const inOrder = column(input) < column(output);
    blocks.set(input, inOrder ? 'right' : 'left').set(output, inOrder ? 'left' : 'right');
  }
  strips.forEach((strip, i) => {
    if (strip.form !== 'column') return;
    strip.bodies.forEach((body, k) => {
      if (body.control === undefined) return;
      const node = body.control;
      let left = Number.POSITIVE_INFINITY;
      let right = Number.POSITIVE_INFINITY;
      strips.forEach((other, j) => {
        if (j === i || circuit.terminals.has(node)) return;
        const there =
          other.form === 'flat'
            ? (other.left === node && j > i) || (other.right === node && j < i)
            : other.nodes.includes(node) || other.bodies.some((b) => b.control === node);
        if (!there) return;
        if (j < i) left = Math.min(left, i - j);
        else right = Math.min(right, j - i);
      });
      const ownJoint = strip.nodes.includes(node);
      let side: Side = blocks.get(body) ?? (left <= right ? 'left' : 'right');
      if (left === Number.POSITIVE_INFINITY && right === Number.POSITIVE_INFINITY)
        side = ownJoint && !isTransistor(body) ? 'right' : 'left';
      found.set(`${i}.${k}`, side);
    });
  });
  return found;
}

/** Every touch of every node that is no terminal, left to right. */
export function touchesOf(strips: Strip[], circuit: Circuit, facing: Map<string, Side>): Map<string, Touch[]> {
  const found = new Map<string, Touch[]>();
  const add = (touch: Touch): void => {
    if (circuit.terminals.has(touch.node)) return;
    found.set(touch.node, [...(found.get(touch.node) ?? []), touch]);
  };
  strips.forEach((strip, i) => {
    if (strip.form === 'flat') {
      const row = bodyRow(i, 0);
      add({ node: strip.left, strip: i, kind: 'flat', at: 0, left: row, right: null, key: i - 0.4 });
      add({ node: strip.right, strip: i, kind: 'flat', at: 1, left: null, right: row, key: i + 0.4 });
      return;
    }
    const last = strip.nodes.length - 1;
    strip.nodes.forEach((node, k) => {
      const end = k === 0 || k === last;
      add({ node, strip: i, kind: end ? 'end' : 'joint', at: k, left: upperRow(i, k), right: lowerRow(i, k), key: i });
    });
    strip.bodies.forEach((body, k) => {
      if (body.control === undefined) return;
      const side = facing.get(`${i}.${k}`) ?? 'left';
      const row = bodyRow(i, k);
      add({
        node: body.control,
        strip: i,
        kind: 'control',
        at: k,
        left: side === 'left' ? row : null,
        right: side === 'right' ? row : null,
        key: i + (side === 'left' ? -0.3 : 0.3),
      });
    });
  });
  for (const list of found.values()) list.sort((a, b) => a.key - b.key || a.at - b.at);
  return found;
}

/** Joins neighbours: each place that can be reached from the left with the last one that can be left to the right. */
export function linksOf(touches: Map<string, Touch[]>): Link[] {
  const links: Link[] = [];
  for (const [node, list] of touches) {
    let open: Touch | null = null;
    let blocked = false;
    for (const touch of list) {
      if (touch.left !== null && open !== null && open.strip !== touch.strip) links.push({ node, from: open, to: touch, blocked });
      if (touch.right !== null) {
        // Of several joints of one column the first carries the row; a base beside its own joint gives way to it.
        if (open === null || open.strip !== touch.strip || touch.kind === 'control') open = touch;
        blocked = false;
      } else if (touch.kind === 'control') blocked = true;
    }
  }
  return links;
}
