/**
 * Which way current runs through each element, and how much of it, as far as layout cares: from the resting
 * point where there is one, otherwise from what the element is.
 */
import { type Circuit, conducts, type Element, isTransistor } from './elements.ts';
import type { Plan } from './plan.ts';

export interface Flow {
  /** True where the first terminal is the upper one. */
  firstUp(e: Element): boolean;
  /** Size of the resting current, or a stand-in that orders elements alike; larger runs first. */
  weight(e: Element): number;
  potential(node: string): number;
}

/** Far above any current: legs of the previous drawing are covered first, in their order. */
const ESTABLISHED = 1e6;

/** Below this share of the supply span a difference of potential says nothing about direction. */
const DECISIVE_SHARE = 0.01;

/** Potentials when nobody knows them: every conducting element pulls its ends together, terminals hold. */
function relaxed(circuit: Circuit): Map<string, number> {
  const volts = new Map(circuit.terminals);
  const free = new Set<string>();
  for (const e of circuit.elements)
    for (const node of [e.first, e.second, e.control]) if (node !== undefined && !volts.has(node)) free.add(node);
  for (const node of free) volts.set(node, 0);
  for (let sweep = 0; sweep < 60; sweep++) {
    for (const node of free) {
      let sum = 0;
      let count = 0;
      for (const e of circuit.elements) {
        if (!conducts(e) || e.owner === 'drive') continue;
        const ends = [e.first, e.second];
        if (ends.includes(node)) {
          sum += volts.get(e.first === node ? e.second : e.first) ?? 0;
          count++;
        }
      }
      if (count > 0) volts.set(node, sum / count);
    }
  }
  return volts;
}

/** Stand-ins for currents: whatever a designer would call the main path first. */
function standIn(e: Element): number {
  switch (e.kind) {
    case 'npn':
    case 'pnp':
      return 10;
    case 'voltage':
    case 'current':
      return 9;
    case 'speaker':
    case 'inductor':
      return 8;
    case 'diode':
    case 'led':
      return 4;
    default:
      return 2;
  }
}

/**
 * @param potentials volts of nodes at rest, where known
 * @param previous the drawing before a change: what stood on its legs keeps to them
 * @param currents amperes into the first terminal (`from`, anode, collector) of parts at rest, where known
 */
export function flowOf(circuit: Circuit, potentials?: Record<string, number>, currents?: Record<string, number>, previous?: Plan): Flow {
  const legs = new Map((previous?.memory.legs ?? []).flatMap((leg, i) => leg.map((id): [string, number] => [id, i])));
  const stood = new Map((previous?.symbols ?? []).filter((s) => s.upright).map((s) => [s.id, s.firstLeads]));
  const guessed = relaxed(circuit);
  const potential = (node: string): number => circuit.terminals.get(node) ?? potentials?.[node] ?? guessed.get(node) ?? 0;
  const held = [...circuit.terminals.values()];
  const span = Math.max(...held) - Math.min(...held);
  const decisive = DECISIVE_SHARE * (span > 0 ? span : 1);
  const isBottomward = (node: string): boolean => {
    const volts = circuit.terminals.get(node);
    return volts !== undefined && (node === circuit.bottom || volts <= 0);
  };
  return {
    potential,
    firstUp(e) {
      const before = stood.get(e.id);
      if (before !== undefined) return before;
      const difference = potential(e.first) - potential(e.second);
      const known = potentials !== undefined && conducts(e) && !isTransistor(e);
      if (known && Math.abs(difference) > decisive) return difference > 0;
      if (e.kind === 'npn' || e.kind === 'diode' || e.kind === 'led') return true;
      if (e.kind === 'pnp') return false;
      // Feet stand on the terminal; between two nodes the estimate decides, then the order of the sheet.
      if (circuit.terminals.has(e.first) !== circuit.terminals.has(e.second)) {
        return circuit.terminals.has(e.first) ? !isBottomward(e.first) : isBottomward(e.second);
      }
      return Math.abs(difference) > decisive * 1e-3 ? difference > 0 : true;
    },
    weight(e) {
      const leg = legs.get(e.id);
      if (leg !== undefined) return ESTABLISHED - leg;
      const ampere = currents?.[e.id];
      if (ampere !== undefined) return Math.abs(ampere);
      return currents === undefined || e.owner === 'load' ? standIn(e) : 0;
    },
  };
}
