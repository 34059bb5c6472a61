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
  if (columns <= 12) return 70;
  return columns <= 24 ? 30 : 8;
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
    const found = { columns, cover, plan, total: scoreOf(plan).total + TOP_EARTH * columns.filter((c) => c.nodes[0] === 'gnd').length };
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

/** Lays a sheet out in a width: a function of its arguments, of nothing random. */
export function layOut(sheet: Sheet, options: LayoutOptions): Plan {
  const circuit = circuitOf(sheet);
  const flow: Flow = flowOf(circuit, options.potentials, options.currents);
  const patterns = patternsOf(circuit);
  const cover = coverOf(circuit, flow, patterns);
  const ranks = nodeRanks(circuit, cover);
  const basis: BuildOptions = { width: options.width, tight: 0, metrics: options.metrics ?? typefaceMetrics, currents: options.currents, ranks, patience: 0 };

  const search = new Search(circuit, patterns, basis, ranks, budgetOf(cover.columns.length));
  const starts = throughGround(cover, circuit).map((c) => search.try(firstOrder(circuit, c, ranks, patterns), c));
  starts.sort((a, b) => a.total - b.total);
  let best = starts[0];
  for (const start of starts.slice(0, 2)) {
    const found = search.climb(start);
    if (found.total < best.total) best = found;
  }
  const strips = withFlats(best.columns, best.cover.flats, circuit, ranks);
  return build(strips, circuit, patterns, { ...basis, patience: 6 });
}
