/** From a sheet to a plan: the search for the order of columns over `build`, best score first. */
import type { Sheet } from '../sheet/types.ts';
import { type BuildOptions, build } from './build.ts';
import { type Circuit, circuitOf, isTransistor } from './elements.ts';
import { type Flow, flowOf } from './flow.ts';
import { fold } from './fold.ts';
import { type Column, type Cover, columnOf, coverOf } from './legs.ts';
import { firstOrder, nodeRanks, precedences, withFlats } from './order.ts';
import { type Patterns, patternsOf } from './patterns.ts';
import type { Plan } from './plan.ts';
import { revalued } from './revalue.ts';
import { scoreOf } from './score.ts';
import { type TextMetrics, typefaceMetrics } from './text.ts';

export interface LayoutOptions {
  /** Width of the column, px. */
  width: number;
  /** Volts of nodes at rest, where known. */
  potentials?: Record<string, number>;
  /** Amperes into the first terminal (`from`, anode, collector) of parts at rest, where known. */
  currents?: Record<string, number>;
  /** The drawing before a change of the sheet. */
  previous?: Plan;
  habit?: 'rectangle' | 'zigzag';
  metrics?: TextMetrics;
}

/** Ground at the head of a column is legal but odd: a shared column is taken where it costs little. */
const TOP_EARTH = 8;

/** How many orders are tried: fewer for large stages, where each takes longer. */
function budgetOf(columns: number): number {
  if (columns <= 12) return 36;
  return columns <= 24 ? 10 : 1;
}

/** With two supplies a leg that ends at ground and one that begins there may share a column. */
function throughGround(cover: Cover, circuit: Circuit): Cover[] {
  if (circuit.top === 'gnd' || circuit.bottom === 'gnd') return [cover];
  const covers = [cover];
  const legs = cover.columns.filter((c) => c.role === 'leg' || c.role === 'bypass');
  const ending = legs.filter((c) => c.nodes[c.nodes.length - 1] === 'gnd' && c.nodes[0] !== circuit.top);
  const beginning = legs.filter((c) => c.nodes[0] === 'gnd');
  for (const lower of beginning) {
    for (const upper of ending) {
      if (upper.bodies.some((b) => b.kind === 'capacitor')) continue;
      const joined: Column = columnOf('leg', [...upper.bodies, ...lower.bodies], [...upper.nodes, ...lower.nodes.slice(1)]);
      covers.push({ columns: cover.columns.flatMap((c) => (c === upper ? [joined] : c === lower ? [] : [c])), flats: cover.flats });
    }
  }
  return covers;
}

/**
 * What an order is worth before its texts have had their turn: a text without a place costs the width that it
 * will ask for, not the fault that it would be in the end.
 */
function promise(plan: Plan): number {
  const { total, faults, onPointing } = scoreOf(plan);
  const texts = faults.filter((f) => f.startsWith('no place')).length;
  return total - texts * 1000 + (texts + onPointing) * MISSING_TEXT;
}
const MISSING_TEXT = 24;

interface Candidate {
  columns: Column[];
  cover: Cover;
  plan: Plan;
  total: number;
}

class Search {
  private left: number;
  private readonly seen = new Map<string, Candidate>();

  constructor(
    private readonly circuit: Circuit,
    private readonly patterns: Patterns,
    private readonly options: BuildOptions,
    private readonly ranks: Map<string, number>,
    budget: number,
  ) {
    this.left = budget;
  }

  try(columns: Column[], cover: Cover): Candidate {
    const key = columns.map((c) => c.id).join('|');
    const known = this.seen.get(key);
    if (known) return known;
    this.left--;
    const strips = withFlats(columns, cover.flats, this.circuit, this.ranks);
    const plan = build(strips, this.circuit, this.patterns, this.options);
    const found = { columns, cover, plan, total: promise(plan) + TOP_EARTH * columns.filter((c) => c.nodes[0] === 'gnd').length };
    this.seen.set(key, found);
    return found;
  }

  get spent(): boolean {
    return this.left <= 0;
  }

  /** Moves one column at a time to wherever the drawing becomes better, until none does. */
  climb(start: Candidate): Candidate {
    let best = start;
    for (let improved = true; improved && !this.spent; ) {
      improved = false;
      for (const column of this.movable(best.columns)) {
        const rest = best.columns.filter((c) => c !== column);
        for (let place = 0; place <= rest.length && !this.spent; place++) {
          const columns = [...rest.slice(0, place), column, ...rest.slice(place)];
          if (!this.sound(columns)) continue;
          const found = this.try(columns, best.cover);
          if (found.total < best.total - 1e-6) {
            best = found;
            improved = true;
          }
        }
      }
    }
    return best;
  }

  /** Those that the drive does not reach are the least settled; then devices, then the rest. */
  private movable(columns: Column[]): Column[] {
    const reach = (c: Column): number => (c.nodes.some((n) => this.ranks.has(n)) ? 1 : 0);
    const device = (c: Column): number => (c.bodies.some(isTransistor) ? 0 : 1);
    return columns.filter((c) => c.role !== 'generator' && c.role !== 'load').sort((a, b) => reach(a) - reach(b) || device(a) - device(b));
  }

  private sound(columns: Column[]): boolean {
    const generator = columns.findIndex((c) => c.role === 'generator');
    const load = columns.findIndex((c) => c.role === 'load');
    if (precedences(columns, this.ranks, this.patterns).some((r) => columns.indexOf(r.before) > columns.indexOf(r.after))) return false;
    return generator <= 0 && (load < 0 || columns.slice(load).every((c) => c.role === 'load'));
  }
}

/** Width reductions in the order in which they are tried. */
const TIGHTEST = 4;
/** From this tightness on the generator is a terminal. */
const WITHOUT_GENERATOR = 3;

/** One tightness with everything that does not depend on the order. */
class Level {
  readonly circuit: Circuit;
  readonly patterns: Patterns;
  readonly ranks: Map<string, number>;
  readonly covers: Cover[];
  readonly search: Search;
  private readonly basis: BuildOptions;

  constructor(sheet: Sheet, options: LayoutOptions, tight: number) {
    this.circuit = circuitOf(sheet, tight < WITHOUT_GENERATOR);
    const flow: Flow = flowOf(this.circuit, options.potentials, options.currents, options.previous);
    this.patterns = patternsOf(this.circuit);
    const cover = coverOf(this.circuit, flow, this.patterns);
    this.ranks = nodeRanks(this.circuit, cover);
    this.covers = throughGround(cover, this.circuit);
    this.basis = {
      width: options.width,
      tight,
      metrics: options.metrics ?? typefaceMetrics,
      currents: options.currents,
      potentials: options.potentials,
      ranks: this.ranks,
      spread: 0,
      patience: 0,
    };
    this.search = new Search(this.circuit, this.patterns, this.basis, this.ranks, budgetOf(cover.columns.length));
  }

  /** First orders of every cover, and a given one where its columns are those of a cover. */
  starts(given: string[] | null): Candidate[] {
    const found = this.covers.map((c) => this.search.try(firstOrder(this.circuit, c, this.ranks, this.patterns), c));
    if (given) found.push(...this.following(given));
    return found.sort((a, b) => a.total - b.total);
  }

  following(ids: string[]): Candidate[] {
    return this.covers.flatMap((c) => {
      const generator = c.columns.filter((column) => column.role === 'generator' && !ids.includes(column.id));
      const columns = [...generator, ...ids.flatMap((id) => c.columns.filter((column) => column.id === id))];
      return columns.length === c.columns.length ? [this.search.try(columns, c)] : [];
    });
  }

  /** Cut across one signal wire where that suffices, else across two. */
  folded(best: Candidate, spread = 0): Plan | null {
    const first = this.cut(best, spread, 1);
    if (first && fits(first, this.basis.width)) return first;
    const second = this.cut(best, spread, 2);
    if (!first || !second) return first ?? second;
    return scoreOf(second).total < scoreOf(first).total ? second : first;
  }

  private cut(best: Candidate, spread: number, most: number): Plan | null {
    const plan = fold(
      withFlats(best.columns, best.cover.flats, this.circuit, this.ranks),
      this.circuit,
      this.patterns,
      { ...this.basis, patience: 4, spread },
      most,
    );
    return plan && remembering(plan, best.cover);
  }

  finish(best: Candidate, places?: Record<string, string>, spread = 0): Plan {
    const strips = withFlats(best.columns, best.cover.flats, this.circuit, this.ranks);
    const plan = build(strips, this.circuit, this.patterns, { ...this.basis, patience: 6, places, spread });
    return remembering(plan, best.cover);
  }

  /** The order of a previous drawing for the columns of this one; new ones stand right of what they hang on. */
  after(previous: Plan): Candidate {
    const index = new Map(previous.memory.order.flatMap((id, i) => id.split(' ').map((part): [string, number] => [part, i])));
    const candidates = this.covers.map((cover) => {
      const key = (c: Column): number | null => {
        const known = c.bodies.flatMap((b) => b.id.split(' ').flatMap((part) => index.get(part) ?? []));
        return known.length > 0 ? Math.min(...known) : null;
      };
      const keys = new Map(cover.columns.map((c) => [c, key(c)]));
      for (const c of cover.columns) {
        if (keys.get(c) !== null) continue;
        const nodes = c.nodes.filter((n) => !this.circuit.terminals.has(n));
        const hung = cover.columns
          .filter((o) => o !== c && o.role !== 'load' && o.nodes.some((n) => nodes.includes(n)))
          .map((o) => keys.get(o) ?? -1);
        keys.set(c, Math.max(-1, ...hung) + 0.5);
      }
      const role = (c: Column): number => (c.role === 'generator' ? -1 : c.role === 'load' ? 1 : 0);
      const columns = [...cover.columns].sort((a, b) => role(a) - role(b) || (keys.get(a) ?? 0) - (keys.get(b) ?? 0));
      return this.search.try(columns, cover);
    });
    // The cover that was drawn before is among them: it keeps the most columns whole.
    const whole = (c: Candidate): number => c.columns.filter((column) => previous.memory.order.includes(column.id)).length;
    return candidates.reduce((a, b) => (whole(b) > whole(a) ? b : a));
  }
}

/** Legs are remembered in the order in which they were covered. */
function remembering(plan: Plan, cover: Cover): Plan {
  return { ...plan, memory: { ...plan.memory, legs: cover.columns.filter((c) => c.role === 'leg').map((c) => c.bodies.map((b) => b.id)) } };
}

/** A new drawing replaces the previous one's order only if it is so much better, by both measures. */
const BETTER = { points: 60, share: 0.25 };

/** Extra px between columns, tried in turn where nothing tighter is free of faults. */
const SPREADS = [24, 60];

/** An excess that the search may still remove. */
const NEARLY = 45;

/** So many times the width: no tightness will do, the stage is folded at once. */
const HOPELESS = 1.9;

const fits = (plan: Plan, width: number): boolean => plan.box.right <= width;

/**
 * Lays a sheet out in a width: a function of its arguments, of nothing random. With a previous plan of the same
 * width its order, legs and text places are kept unless another is much better.
 */
export function layOut(sheet: Sheet, options: LayoutOptions): Plan {
  const { previous } = options;
  if (!previous || previous.width !== options.width) return freshLayout(sheet, options);
  const same = revalued(previous, sheet, options.metrics ?? typefaceMetrics);
  if (same) return same;
  const folded = new Set(previous.rails.map((r) => r.node)).size < previous.rails.length;
  const level = new Level(sheet, options, previous.memory.tightness);
  const candidate = level.after(previous);
  const kept = (folded && level.folded(candidate)) || level.finish(candidate, previous.memory.places);
  const parts = (plan: Plan): string =>
    plan.symbols
      .map((s) => s.id)
      .sort()
      .join();
  const score = scoreOf(kept);
  // Values alone move nothing.
  if (score.faults.length === 0 && parts(kept) === parts(previous)) return kept;
  const fresh = freshLayout(sheet, { ...options, previous: undefined });
  const other = scoreOf(fresh);
  if (score.faults.length > other.faults.length) return fresh;
  return score.total - other.total >= Math.max(BETTER.points, BETTER.share * score.total) ? fresh : kept;
}

function freshLayout(sheet: Sheet, options: LayoutOptions): Plan {
  // The roomiest tightness at which the first orders fit is searched; the order found may then fit a roomier one.
  let level = new Level(sheet, options, 0);
  let starts = level.starts(null);
  let tight = 0;
  while (tight < TIGHTEST && !starts.some((s) => fits(s.plan, options.width + NEARLY))) {
    tight = starts[0].plan.box.right > HOPELESS * options.width ? TIGHTEST : tight + 1;
    level = new Level(sheet, options, tight);
    starts = level.starts(null);
  }
  let best = starts[0];
  const foldsAnyway = best.plan.box.right > HOPELESS * options.width;
  if (!foldsAnyway) {
    for (const start of starts.slice(0, 2)) {
      const found = level.search.climb(start);
      if (found.total < best.total) best = found;
    }
  }
  let plan = foldsAnyway ? remembering(best.plan, best.cover) : level.finish(best);
  let total = scoreOf(plan).total;
  const order = best.columns.map((c) => c.id);
  const consider = (other: number): void => {
    const beside = new Level(sheet, options, other);
    const followed = beside.following(order).sort((p, q) => p.total - q.total)[0];
    const [fresh] = beside.starts(null);
    for (const found of new Set([followed, fresh])) {
      if (!found) continue;
      const candidate = beside.finish(found);
      const measured = scoreOf(candidate).total;
      if (measured < total) {
        plan = candidate;
        total = measured;
      }
    }
  };
  for (let roomier = tight - 1; !foldsAnyway && roomier >= 0 && roomier >= tight - 2; roomier--) consider(roomier);
  for (
    let tighter = tight + 1;
    !foldsAnyway && tighter <= TIGHTEST && (!fits(plan, options.width) || scoreOf(plan).faults.length > 0);
    tighter++
  )
    consider(tighter);
  if (!fits(plan, options.width)) {
    // The last resort: fold, as tight as need be.
    for (const other of [WITHOUT_GENERATOR, TIGHTEST]) {
      const beside = new Level(sheet, options, other);
      const [fresh] = beside.starts(null);
      const [followed] = beside.following(order).sort((p, q) => p.total - q.total);
      for (const found of new Set([fresh, followed])) {
        const candidate = found && beside.folded(found);
        if (!candidate) continue;
        const measured = scoreOf(candidate).total;
        if (measured < total) {
          plan = candidate;
          total = measured;
        }
      }
      if (fits(plan, options.width)) break;
    }
  }
  // A drawing with a fault is never shown while one without exists: more room, then more.
  for (const spread of SPREADS) {
    if (scoreOf(plan).faults.length === 0) break;
    const roomy = new Level(sheet, options, 1);
    const [fresh] = roomy.starts(null);
    const [followed] = roomy.following(order);
    for (const found of new Set([followed, fresh])) {
      if (!found) continue;
      for (const candidate of [roomy.folded(found, spread), roomy.finish(found, undefined, spread)]) {
        const measured = candidate ? scoreOf(candidate).total : Number.POSITIVE_INFINITY;
        if (candidate && measured < total) {
          plan = candidate;
          total = measured;
        }
      }
    }
  }
  return plan;
}
