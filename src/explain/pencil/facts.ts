/** What the rules of the ledger stand on: connections, roles, and the figures at rest. */
import { connectedLoad } from '../../circuit/network.ts';
import type { BipolarRegion } from '../../devices/state.ts';
import type { NodeName, Sheet, Transistor } from '../../sheet/types.ts';
import type { Role } from '../role.ts';
import type { SignalGraph } from '../roles-graph.ts';
import { type Formula, number, sum, symbol } from './formula.ts';

/** A transistor at rest, SI, junction temperature in °C; currents and voltages of a PNP are negative. */
export interface Standing {
  region: BipolarRegion;
  collectorCurrent: number;
  baseCurrent: number;
  emitterCurrent: number;
  baseEmitterVoltage: number;
  collectorEmitterVoltage: number;
  beta: number | null;
  emitterResistance: number | null;
  dissipation: number;
  junctionTemperature: number;
}
export type Refinement = 'knee' | 'bulk' | 'base-resistor';
export interface RestFacts {
  sheet: Sheet;
  graph: SignalGraph;
  roles: Record<string, Role>;
  /** V, by node. */
  nodes: Record<NodeName, number>;
  transistors: Record<string, Standing>;
  /** A, forward, of the diodes that conduct. */
  diodes: Record<string, number>;
  /** V/K: how V_BE moves with the junction's temperature at the standing current, of those that warm themselves. */
  voltsPerKelvin: Record<string, number>;
  /** What the rules are to take account of for once, to see what leaving it out costs. */
  refined?: Refinement;
}

/** V: the pencil's base-emitter voltage. Common practice, no source. */
export const PENCIL_BASE_EMITTER = 0.65;
/** V: the pencil's thermal voltage, 26 mV. Common practice, no source. */
export const PENCIL_THERMAL = 0.026;

/** V/K: the pencil's drift of V_BE at a constant current. Common practice, no source. */
export const PENCIL_PER_KELVIN = -0.002;

/** Something direct current can flow through at a node. */
export type Attachment =
  | { kind: 'resistor'; name: string; other: NodeName; resistance: number }
  | { kind: 'terminal'; part: Transistor; terminal: 'base' | 'collector' | 'emitter' }
  | { kind: 'drive'; resistance: number; offset: number }
  | { kind: 'load'; name: string; resistance: number; other: NodeName }
  | { kind: 'other'; name: string };

/** Everything at a node that direct current can flow through. */
export function attachmentsAt({ graph, sheet }: RestFacts, node: NodeName): Attachment[] {
  const found: Attachment[] = graph.resistorsAt(node).map((r) => ({ kind: 'resistor', ...r }));
  for (const t of graph.transistors) {
    for (const terminal of ['base', 'collector', 'emitter'] as const)
      if (graph.same(t[terminal], node)) found.push({ kind: 'terminal', part: t, terminal });
  }
  for (const d of graph.diodes) if (graph.same(d.a, node) || graph.same(d.b, node)) found.push({ kind: 'other', name: d.name });
  for (const p of sheet.parts) {
    if (p.lifted || p.shorted || (p.kind !== 'inductor' && p.kind !== 'voltage' && p.kind !== 'current')) continue;
    if (graph.same(p.from, node) || graph.same(p.to, node)) found.push({ kind: 'other', name: p.name });
  }
  if (sheet.drive && graph.same(sheet.drive.node, node))
    found.push({ kind: 'drive', resistance: sheet.drive.sourceResistance, offset: sheet.drive.offset });
  const load = connectedLoad(sheet);
  if (load && sheet.output !== undefined && graph.same(sheet.output, node)) {
    const resistance = load.resistor ?? load.speaker?.resistance;
    const throughCapacitor = load.series && load.capacitor !== undefined;
    if (load.inductor !== undefined) found.push({ kind: 'other', name: load.name });
    else if (resistance !== undefined && !throughCapacitor) found.push({ kind: 'load', name: load.name, resistance, other: load.to });
  }
  return found;
}

/** Resistors in a row, from a node to a rail or to where the current divides. */
export interface Leg {
  names: string[];
  formula: Formula;
  end: NodeName;
}

/** The legs of resistors at a node, each followed through nodes where the current has no other way. */
export function legsAt(facts: RestFacts, node: NodeName): Leg[] {
  return attachmentsAt(facts, node).flatMap((a) => (a.kind === 'resistor' ? [followed(facts, a)] : []));
}

function followed(facts: RestFacts, first: Extract<Attachment, { kind: 'resistor' }>): Leg {
  const names = [first.name];
  const resistors = [symbol(first.name, first.resistance, 'Ω')];
  let end = first.other;
  let last = first;
  for (let steps = 0; steps < facts.graph.resistors.length && !facts.graph.isRail(end); steps++) {
    const around = attachmentsAt(facts, end);
    const onward = around.filter((a) => a.kind === 'resistor' && !(a.name === last.name && a.resistance === last.resistance));
    if (around.length !== 2 || onward.length !== 1 || onward[0].kind !== 'resistor') break;
    last = onward[0];
    names.push(last.name);
    resistors.push(symbol(last.name, last.resistance, 'Ω'));
    end = last.other;
  }
  return { names, formula: sum(...resistors), end };
}

/** Volts of a rail, ground included; null where the node is none. */
export function railVolts({ graph, sheet }: RestFacts, node: NodeName): number | null {
  if (graph.same(node, 'gnd')) return 0;
  return sheet.supplies.find((s) => graph.same(node, s.node))?.volts ?? null;
}

/** A rail in the trade's letters: V_CC the highest, V_EE the lowest below ground, another by its node. */
export function rail(facts: RestFacts, node: NodeName): Formula {
  const volts = railVolts(facts, node) ?? 0;
  if (volts === 0) return number(0, 'V');
  const all = facts.sheet.supplies.map((s) => s.volts);
  const name = facts.sheet.supplies.find((s) => facts.graph.same(node, s.node))?.node ?? node;
  const letters = volts > 0 && volts === Math.max(...all) ? 'V_CC' : volts < 0 && volts === Math.min(...all) ? 'V_EE' : `V_${name}`;
  return symbol(letters, volts, 'V');
}

export const isZero = (formula: Formula): boolean => formula.kind === 'number' && formula.value === 0;

/** A sum without its zeros. */
export function total(...terms: Formula[]): Formula {
  const kept = terms.filter((t) => !isZero(t.kind === 'negative' ? t.of : t));
  return kept.length === 0 ? number(0, 'V') : sum(...kept);
}

/** +1 for NPN, −1 for PNP. */
export const signOf = (t: Transistor): 1 | -1 => (t.kind === 'npn' ? 1 : -1);

/** The pencil's V_BE with its sign: `V_BE`, or of a PNP minus `V_EB`. */
export function pencilBaseEmitter(t: Transistor): Formula {
  if (t.kind === 'npn') return symbol('V_BE', PENCIL_BASE_EMITTER, 'V');
  return { kind: 'negative', of: symbol('V_EB', PENCIL_BASE_EMITTER, 'V') };
}

/** True where a transistor conducts as it should, so that rules of thumb are meant for it. */
export const isActive = (facts: RestFacts, t: Transistor): boolean => facts.transistors[t.name]?.region === 'active';
