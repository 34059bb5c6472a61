/** From a sheet to a plan: the order search over `build`. */
import type { Sheet } from '../sheet/types.ts';
import { build, type BuildOptions } from './build.ts';
import { circuitOf } from './elements.ts';
import { flowOf } from './flow.ts';
import { coverOf } from './legs.ts';
import { firstOrder, nodeRanks, withFlats } from './order.ts';
import { patternsOf } from './patterns.ts';
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

/** Lays a sheet out in a width: a function of its arguments, of nothing random. */
export function layOut(sheet: Sheet, options: LayoutOptions): Plan {
  const circuit = circuitOf(sheet);
  const flow = flowOf(circuit, options.potentials, options.currents);
  const patterns = patternsOf(circuit);
  const cover = coverOf(circuit, flow, patterns);
  const ranks = nodeRanks(circuit, cover);
  const columns = firstOrder(circuit, cover, ranks);
  const strips = withFlats(columns, cover.flats, circuit, ranks);
  const build1: BuildOptions = { width: options.width, tight: 0, metrics: options.metrics ?? typefaceMetrics, currents: options.currents, ranks, patience: 6 };
  const plan = build(strips, circuit, patterns, build1);
  void scoreOf;
  return plan;
}
