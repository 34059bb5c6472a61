/**
 * Puts a drawing's groups of marks into an SVG element and, frame after frame, writes only what changed: nothing is
 * made anew while a knob turns.
 */
import type { Mark, MarkGroup } from '../drawing/index.ts';
import type { Plan } from '../drawing/plan.ts';

const SVG = 'http://www.w3.org/2000/svg';
/** Room round a symbol that still counts as touching it, px. */
const TOUCH = 6;
const LEAST_TOUCH = 40;

interface Drawn {
  element: SVGGElement;
  /** Of a part: what is touched for it. */
  hit: SVGRectElement | null;
  marks: SVGElement[];
  /** What was written last, mark by mark. */
  written: string[];
}

export interface Painter {
  paint(groups: readonly MarkGroup[], plan: Plan): void;
}

/** @param into the element that the groups go into; nothing else may write to its children */
export function createPainter(into: SVGGElement): Painter {
  let drawn = new Map<string, Drawn>();
  let painted: Plan | null = null;

  function make(group: MarkGroup): Drawn {
    const element = document.createElementNS(SVG, 'g');
    let hit: SVGRectElement | null = null;
    if (group.kind === 'part') {
      element.dataset.part = group.of;
      hit = document.createElementNS(SVG, 'rect');
      hit.setAttribute('class', 'hit');
      element.append(hit);
    } else if (group.kind === 'node') element.dataset.node = group.of;
    return { element, hit, marks: [], written: [] };
  }

  return {
    paint(groups, plan) {
      const next = new Map<string, Drawn>();
      const counts = new Map<string, number>();
      let after: SVGGElement | null = null;
      for (const group of groups) {
        const name = `${group.kind} ${group.of}`;
        const count = counts.get(name) ?? 0;
        counts.set(name, count + 1);
        const key = `${name} ${count}`;
        const held = drawn.get(key) ?? make(group);
        next.set(key, held);
        drawn.delete(key);
        if (after === null ? into.firstChild !== held.element : after.nextSibling !== held.element) {
          if (after === null) into.prepend(held.element);
          else after.after(held.element);
        }
        after = held.element;
        if (held.hit !== null && plan !== painted) placeHit(held.hit, plan, group.of);
        writeGroup(held, group);
      }
      for (const gone of drawn.values()) gone.element.remove();
      drawn = next;
      painted = plan;
    },
  };
}

/** The body with room round it, large enough for a finger. */
function placeHit(hit: SVGRectElement, plan: Plan, of: string): void {
  const body = plan.symbols.find((symbol) => symbol.id === of)?.body;
  if (body === undefined) return;
  const wide = Math.max(LEAST_TOUCH, body.right - body.left + 2 * TOUCH);
  const tall = Math.max(LEAST_TOUCH, body.bottom - body.top + 2 * TOUCH);
  hit.setAttribute('x', String((body.left + body.right - wide) / 2));
  hit.setAttribute('y', String((body.top + body.bottom - tall) / 2));
  hit.setAttribute('width', String(wide));
  hit.setAttribute('height', String(tall));
}

/** Which groups answer to the hand: parts and loads, and the names of nodes. */
export function isTouchable(group: Pick<MarkGroup, 'kind' | 'of' | 'label'>): boolean {
  if (group.kind === 'part') return !group.of.startsWith('drive');
  return group.kind === 'node' && group.label !== '';
}

function writeGroup(held: Drawn, group: MarkGroup): void {
  const { element } = held;
  const look = ['mark', `g-${group.kind}`, group.state ?? '', group.onPointing === true ? 'on-pointing' : '']
    .filter((word) => word !== '')
    .join(' ');
  if (element.dataset.look !== look) {
    const kept = [...element.classList].filter((word) => word === 'lit' || word === 'selected' || word === 'offered');
    element.setAttribute('class', [look, ...kept].join(' '));
    element.dataset.look = look;
  }
  const name = group.label === '' ? '' : nameOf(group);
  if (name === '') element.removeAttribute('aria-label');
  else if (element.getAttribute('aria-label') !== name) element.setAttribute('aria-label', name);
  const role = isTouchable(group) ? 'button' : group.label === '' ? null : 'img';
  if (element.getAttribute('role') !== role) {
    if (role === null) element.removeAttribute('role');
    else element.setAttribute('role', role);
    if (role === 'button') element.setAttribute('tabindex', '0');
    else element.removeAttribute('tabindex');
  }
  group.marks.forEach((mark, index) => {
    const text = JSON.stringify(mark);
    if (held.written[index] === text) return;
    held.written[index] = text;
    const before = held.marks[index];
    const kind = mark.shape;
    const now = before !== undefined && before.tagName === kind ? before : document.createElementNS(SVG, kind);
    if (now !== before) {
      // The space parts the texts for those who hear them.
      if (before === undefined) element.append(' ', now);
      else before.replaceWith(now);
      held.marks[index] = now;
    }
    writeMark(now, mark);
  });
  for (const surplus of held.marks.splice(group.marks.length)) surplus.remove();
  held.written.length = group.marks.length;
}

/** What is heard begins with what is seen, so that a reader can ask for it by that (WCAG 2.5.3). */
function nameOf(group: MarkGroup): string {
  const seen = group.marks.flatMap((mark) => (mark.shape === 'text' ? [mark.runs.map((run) => run.text).join('')] : [])).join(' ');
  if (group.kind === 'node' && seen !== '') return `Node ${seen}`;
  if (group.kind !== 'part' || seen === '') return group.label;
  const rest = group.label.startsWith(`${group.of}, `) ? group.label.slice(group.of.length + 2) : group.label;
  return `${seen}, ${rest}`;
}

function writeMark(element: SVGElement, mark: Mark): void {
  const set = (name: string, value: string | number): void => {
    const text = String(value);
    if (element.getAttribute(name) !== text) element.setAttribute(name, text);
  };
  switch (mark.shape) {
    case 'path':
      set('class', `m-${mark.role}`);
      set('d', mark.d);
      return;
    case 'circle':
      set('class', `m-${mark.role}`);
      set('cx', mark.x);
      set('cy', mark.y);
      set('r', mark.r);
      return;
    case 'rect':
      set('class', `m-${mark.role}`);
      set('x', mark.x);
      set('y', mark.y);
      set('width', mark.width);
      set('height', mark.height);
      if (mark.radius !== undefined) set('rx', mark.radius);
      return;
    case 'text': {
      set('class', mark.struck ? 'struck' : '');
      set('x', mark.x);
      set('y', mark.y);
      set('text-anchor', mark.anchor);
      while (element.childNodes.length > mark.runs.length) element.lastChild?.remove();
      mark.runs.forEach((run, index) => {
        let span = element.childNodes[index] as SVGTSpanElement | undefined;
        if (span === undefined) {
          span = document.createElementNS(SVG, 'tspan');
          element.append(span);
        }
        if (span.getAttribute('class') !== `t-${run.role}`) span.setAttribute('class', `t-${run.role}`);
        if (span.textContent !== run.text) span.textContent = run.text;
      });
    }
  }
}
