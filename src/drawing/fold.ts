/**
 * A stage too long for its column: cut where at most one signal wire crosses, the rest drawn beneath with both
 * rails, the node named at both ends.
 */
import { type BuildOptions, build } from './build.ts';
import { type Circuit, endOf, isTransistor } from './elements.ts';
import { box, shifted } from './geometry.ts';
import type { Strip } from './legs.ts';
import type { Patterns } from './patterns.ts';
import type { Plan, Point } from './plan.ts';

const GAP = 16;

const nodesOf = (s: Strip): string[] =>
  s.form === 'flat' ? [s.left, s.right] : [...s.nodes, ...s.bodies.flatMap((b) => (b.control === undefined ? [] : [b.control]))];

/** Nodes other than terminals on both sides of a cut before strip `at`. */
function crossing(strips: Strip[], at: number, circuit: Circuit): string[] {
  const left = new Set(strips.slice(0, at).flatMap(nodesOf));
  const right = new Set(strips.slice(at).flatMap(nodesOf));
  return [...left].filter((n) => right.has(n) && !circuit.terminals.has(n));
}

function endStrip(node: string, side: 'left' | 'right'): Strip {
  const body = endOf(node, side);
  return { form: 'flat', id: body.id, body, left: body.first, right: body.second };
}

/** Builds a run of strips as a stage of its own, open where it was cut. */
function buildRun(strips: Strip[], from: number, to: number, circuit: Circuit, patterns: Patterns, options: BuildOptions): Plan {
  const run = strips.slice(from, to);
  const before = from > 0 ? crossing(strips, from, circuit) : [];
  const after = to < strips.length ? crossing(strips, to, circuit) : [];
  const all = [...before.map((n) => endStrip(n, 'left')), ...run, ...after.map((n) => endStrip(n, 'right'))];
  const elements = all.flatMap((s) => (s.form === 'flat' ? [s.body] : s.bodies));
  return build(all, { ...circuit, elements }, patterns, options);
}

/** Puts plans of parts of a stage one under the other. */
function stacked(plans: Plan[]): Plan {
  const [first] = plans;
  let y = 0;
  const moved = plans.map((plan, i) => {
    const dy = y;
    y += plan.height + GAP;
    const move = (p: Point): Point => ({ x: p.x, y: p.y + dy });
    const prefix = i === 0 ? '' : `row ${i + 1} `;
    return {
      ...plan,
      symbols: plan.symbols.map((s) => ({
        ...s,
        at: move(s.at),
        body: shifted(s.body, 0, dy),
        pins: s.pins.map((p) => ({ node: p.node, at: move(p.at) })),
      })),
      wires: plan.wires.map((w) => ({ node: w.node, from: move(w.from), to: move(w.to) })),
      dots: plan.dots.map((d) => ({ node: d.node, at: move(d.at) })),
      terminals: plan.terminals.map((t) => ({ ...t, at: move(t.at) })),
      rails: plan.rails.map((r) => ({ ...r, y: r.y + dy })),
      earths: plan.earths.map((e) => ({ at: move(e.at) })),
      labels: plan.labels.map((l) => ({ ...l, id: `${prefix}${l.id}`, at: move(l.at), box: l.onPointing ? l.box : shifted(l.box, 0, dy) })),
      arrows: plan.arrows.map((a) => ({ ...a, at: move(a.at) })),
      frames: plan.frames.map((f) => ({ ...f, box: shifted(f.box, 0, dy) })),
    };
  });
  const height = y - GAP;
  return {
    width: first.width,
    height,
    symbols: moved.flatMap((p) => p.symbols),
    wires: moved.flatMap((p) => p.wires),
    dots: moved.flatMap((p) => p.dots),
    terminals: moved.flatMap((p) => p.terminals),
    rails: moved.flatMap((p) => p.rails),
    earths: moved.flatMap((p) => p.earths),
    labels: moved.flatMap((p) => p.labels),
    arrows: moved.flatMap((p) => p.arrows),
    frames: moved.flatMap((p) => p.frames),
    box: box(0, 0, Math.max(...moved.map((p) => p.box.right)), height),
    symmetries: moved.flatMap((p) => p.symmetries).filter((s, i, all) => all.findIndex((t) => t.pair.join() === s.pair.join()) === i),
    reversals: { signal: moved.flatMap((p) => p.reversals.signal), feedback: moved.flatMap((p) => p.reversals.feedback) },
    // Each row of a folded drawing has its own lines.
    ranks: moved.flatMap((p) => p.ranks),
    upended: moved.flatMap((p) => p.upended),
    faults: moved.flatMap((p) => p.faults),
    memory: {
      order: moved.flatMap((p) => p.memory.order),
      legs: moved.flatMap((p) => p.memory.legs),
      places: Object.assign(
        {},
        ...moved.map((p, i) =>
          Object.fromEntries(Object.entries(p.memory.places).map(([k, v]) => [`${i === 0 ? '' : `row ${i + 1} `}${k}`, v])),
        ),
      ),
      tightness: first.memory.tightness,
    },
  };
}

/**
 * Folds an order of strips into rows that fit the width, cutting where at most `most` signal wires cross; null
 * where it cannot be cut so.
 */
export function fold(strips: Strip[], circuit: Circuit, patterns: Patterns, options: BuildOptions, most: number): Plan | null {
  const cuts: number[] = [];
  for (let at = 1; at < strips.length; at++) {
    if (crossing(strips, at, circuit).length <= most) cuts.push(at);
  }
  if (cuts.length === 0) return null;
  const plans: Plan[] = [];
  let from = 0;
  while (from < strips.length) {
    // A lone part on a row of its own explains nothing: each has a device or two legs.
    const whole = (a: number, b: number): boolean => {
      const columns = strips.slice(a, b).filter((s) => s.form === 'column');
      return columns.length > 1 || columns.some((c) => c.bodies.some(isTransistor));
    };
    const ends = [...cuts.filter((c) => c > from && whole(from, c) && whole(c, strips.length)), strips.length];
    // The longest run that fits, looked for by halving; the shortest where none does.
    let low = 0;
    let high = ends.length - 1;
    let best: { plan: Plan; to: number } | null = null;
    while (low <= high) {
      const middle = (low + high) >> 1;
      const plan = buildRun(strips, from, ends[middle], circuit, patterns, options);
      if (plan.box.right <= options.width) {
        best = { plan, to: ends[middle] };
        low = middle + 1;
      } else high = middle - 1;
    }
    best ??= { plan: buildRun(strips, from, ends[0], circuit, patterns, options), to: ends[0] };
    plans.push(best.plan);
    from = best.to;
  }
  return plans.length > 1 ? stacked(plans) : null;
}
