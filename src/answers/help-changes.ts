/** Which values a cause calls to be changed, as a ladder of changes from the least to the most. */
import type { Cause } from '../explain/types.ts';
import { nearestPreferred, preferredBetween, type SeriesName } from '../quantity/index.ts';
import { GROUND, type Resistor, type Sheet } from '../sheet/types.ts';
import type { HelpChange } from './types.ts';

/** Resistors are not lowered below this share of their value: a stage that needs more needs another circuit. */
const LEAST = 1 / 50;
/** Supplies are not raised by more than this many volts. */
const MOST_VOLTS = 60;
const RAISED = '-raised';

export interface Ladder {
  steps: HelpChange[][];
  /** Index of the step that a room `factor` times as large needs by proportion, or `volts` more of it. */
  startAt: (need: { factor: number; volts: number }) => number;
}

/** The changes that may help against a cause; null where no value of the sheet does. */
export function ladderFor(sheet: Sheet, cause: Cause, limit: number): Ladder | null {
  if (cause.event === 'saturates') return supplyLadder(sheet, cause, limit);
  if (cause.event !== 'cuts-off') return null;
  const sources = [biasString(sheet, cause.part), takers(sheet, cause.demand?.part), takers(sheet, cause.demand?.by)];
  return resistorLadder(sheet, sources.find((found) => found.length > 0) ?? [], divider(sheet, cause.part));
}

function working(sheet: Sheet): Resistor[] {
  return sheet.parts.filter((p): p is Resistor => p.kind === 'resistor' && !p.lifted && !p.shorted);
}

function isRail(sheet: Sheet, node: string): boolean {
  return node === GROUND || sheet.supplies.some((s) => s.node === node);
}

/** Resistors from a node to a rail, with that rail. */
function toRails(sheet: Sheet, node: string): { resistor: Resistor; rail: string }[] {
  return working(sheet).flatMap((resistor) => {
    const rail = resistor.from === node ? resistor.to : resistor.to === node ? resistor.from : null;
    return rail !== null && isRail(sheet, rail) && !isRail(sheet, node) ? [{ resistor, rail }] : [];
  });
}

/** The resistors that set what a part can carry: itself, or a sink's emitter resistor. */
function takers(sheet: Sheet, name: string | undefined): Resistor[] {
  const taker = sheet.parts.find((p) => p.name === name);
  if (taker?.kind === 'npn' || taker?.kind === 'pnp') return toRails(sheet, taker.emitter).map((r) => r.resistor);
  return taker?.kind === 'resistor' ? [taker] : [];
}

/** The resistors at the two ends of the chain of diodes that a diode stands in: one alone would move the rest. */
function biasString(sheet: Sheet, name: string | null): Resistor[] {
  const diodes = sheet.parts.filter((p) => p.kind === 'diode');
  const culprit = diodes.find((d) => d.name === name);
  if (!culprit) return [];
  const nodes = new Set([culprit.anode, culprit.cathode]);
  for (let size = 0; size !== nodes.size; ) {
    size = nodes.size;
    for (const d of diodes) {
      const ends = [d.anode, d.cathode];
      if (ends.some((n) => nodes.has(n) && !isRail(sheet, n))) for (const n of ends) nodes.add(n);
    }
  }
  return [...nodes].flatMap((n) => toRails(sheet, n).map((r) => r.resistor));
}

/** The divider at the base of a transistor: resistors to at least two rails, and no other transistor's output there. */
function divider(sheet: Sheet, name: string | null): Resistor[] {
  const culprit = sheet.parts.find((p) => p.name === name);
  if (culprit?.kind !== 'npn' && culprit?.kind !== 'pnp') return [];
  const led = sheet.parts.some(
    (p) => (p.kind === 'npn' || p.kind === 'pnp') && (p.collector === culprit.base || p.emitter === culprit.base),
  );
  const found = toRails(sheet, culprit.base);
  return !led && new Set(found.map((r) => r.rail)).size >= 2 ? found.map((r) => r.resistor) : [];
}

function resistorLadder(sheet: Sheet, mains: Resistor[], base: Resistor[]): Ladder | null {
  if (mains.length === 0) return null;
  const series = sheet.series.resistors as SeriesName;
  const [first, ...others] = mains;
  const stiffened = base.filter((r) => !mains.includes(r));
  const values = preferredBetween(LEAST * first.resistance, first.resistance, series).reverse();
  const below = values.filter((value) => value < first.resistance * (1 - 1e-9));
  const steps = below.map((value): HelpChange[] => {
    const near = (r: Resistor): number => nearestPreferred((r.resistance * value) / first.resistance, series);
    return [
      { path: `parts.${first.name}.resistor`, value },
      ...others.map((r) => ({ path: `parts.${r.name}.resistor`, value: near(r) })),
      ...stiffened.map((r) => ({ path: `parts.${r.name}.resistor`, value: near(r), divider: true as const })),
    ];
  });
  return {
    steps,
    startAt: ({ factor }) => {
      const k = below.findIndex((value) => value <= first.resistance / factor);
      return k < 0 ? steps.length - 1 : k;
    },
  };
}

/** The supply that moved the limit when it was raised for the evidence, in whole volts upwards. */
function supplyLadder(sheet: Sheet, cause: Cause, limit: number): Ladder | null {
  const relief = cause.evidence?.relief;
  if (!relief || relief.volts === null || !relief.change.endsWith(RAISED)) return null;
  const supply = sheet.supplies.find((s) => s.node === relief.change.slice(0, -RAISED.length));
  const perVolt = Math.abs(relief.volts - limit);
  if (!supply || !(perVolt > 0)) return null;
  const sign = supply.volts < 0 ? -1 : 1;
  const next = Math.floor(Math.abs(supply.volts) + 1e-9) + 1;
  const steps = Array.from({ length: MOST_VOLTS }, (_, k): HelpChange[] => [
    { path: `supplies.${supply.node}.volts`, value: sign * (next + k) },
  ]);
  return {
    steps,
    startAt: ({ volts }) => Math.min(steps.length - 1, Math.max(0, Math.ceil(Math.abs(supply.volts) + volts / perVolt) - next)),
  };
}

/**
 * The sheet with one change made: a resistor's value or a supply's volts, which is all that help proposes. The paths of the
 * sheet layer take any quantity, but bring the reader of texts with them, a third of the engine's worker.
 */
export function withChange(sheet: Sheet, { path, value }: HelpChange): Sheet {
  const [list, name] = path.split('.');
  if (list === 'supplies') {
    return { ...sheet, supplies: sheet.supplies.map((supply) => (supply.node === name ? { ...supply, volts: value } : supply)) };
  }
  return {
    ...sheet,
    parts: sheet.parts.map((part) => (part.kind === 'resistor' && part.name === name ? { ...part, resistance: value } : part)),
  };
}
