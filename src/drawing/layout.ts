/** From a sheet to a plan: the search for the order of columns over `build`, best score first. */
import type { Sheet } from '../sheet/types.ts';
import { build, type BuildOptions } from './build.ts';
import { type Circuit, circuitOf, isTransistor } from './elements.ts';
import { type Flow, flowOf } from './flow.ts';
import { type Column, columnOf, type Cover, coverOf } from './legs.ts';
import { firstOrder, nodeRanks, precedences, withFlats } from './order.ts';
import { type Patterns, patternsOf } from './patterns.ts';
import type { Plan } from './plan.ts';
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
  if (columns <= 12) return 40;
  return columns <= 24 ? 14 : 2;
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

/** Width reductions in the order in which they are tried: drawings.md 7. */
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
    const flow: Flow = flowOf(this.circuit, options.potentials, options.currents);
    this.patterns = patternsOf(this.circuit);
    const cover = coverOf(this.circuit, flow, this.patterns);
    this.ranks = nodeRanks(this.circuit, cover);
    this.covers = throughGround(cover, this.circuit);
    this.basis = { width: options.width, tight, metrics: options.metrics ?? typefaceMetrics, currents: options.currents, ranks: this.ranks, patience: 0 };
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

  finish(best: Candidate, places?: Record<string, string>): Plan {
    const strips = withFlats(best.columns, best.cover.flats, this.circuit, this.ranks);
    return build(strips, this.circuit, this.patterns, { ...this.basis, patience: 6, places });
  }
}

/** An excess that the search may still remove. */
const NEARLY = 45;

const fits = (plan: Plan, width: number): boolean => plan.box.right <= width;

/** Lays a sheet out in a width: a function of its arguments, of nothing random. */
export function layOut(sheet: Sheet, options: LayoutOptions): Plan {
  // The roomiest tightness at which the first orders fit is searched; the order found may then fit a roomier one.
  let level = new Level(sheet, options, 0);
  let starts = level.starts(null);
  let tight = 0;
  while (tight < TIGHTEST && !starts.some((s) => fits(s.plan, options.width + NEARLY))) {
    tight++;
    level = new Level(sheet, options, tight);
    starts = level.starts(null);
  }
  let best = starts[0];
  for (const start of starts.slice(0, 2)) {
    const found = level.search.climb(start);
    if (found.total < best.total) best = found;
  }
  let plan = level.finish(best);
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
  for (let roomier = tight - 1; roomier >= 0 && roomier >= tight - 2; roomier--) consider(roomier);
  for (let tighter = tight + 1; tighter <= TIGHTEST && (!fits(plan, options.width) || scoreOf(plan).faults.length > 0); tighter++) consider(tighter);
  return plan;
}
