/** The voltage that a base stands at by pencil: divider, two rails, a stage before it, the drive's own offset. */
import type { NodeName, Transistor } from '../../sheet/types.ts';
import {
  attachmentsAt,
  isActive,
  type Leg,
  legsAt,
  PENCIL_BASE_EMITTER,
  pencilBaseEmitter,
  type RestFacts,
  rail,
  railVolts,
  signOf,
  total,
} from './facts.ts';
import { difference, evaluate, type Formula, negative, number, parallel, product, quotient, sum, symbol } from './formula.ts';
import type { Term } from './line.ts';

/** A pencil's voltage and what it leaves out, V. */
export interface Estimate {
  formula: Formula;
  terms: Term[];
}
interface Source {
  voltage: Formula;
  /** What the source offers to a current drawn from it. */
  resistance: Formula;
}

/** A divider between two rails, or resistors to one; null where the legs end elsewhere. */
function ofLegs(facts: RestFacts, legs: Leg[]): Source | null {
  const ends = new Map<number, Leg[]>();
  for (const leg of legs) {
    const volts = railVolts(facts, leg.end);
    if (volts === null) return null;
    ends.set(volts, [...(ends.get(volts) ?? []), leg]);
  }
  const rails = [...ends.keys()].sort((a, b) => Math.abs(b) - Math.abs(a));
  const joined = (volts: number): Formula => parallel(...ends.get(volts)!.map((leg) => leg.formula));
  if (rails.length === 1) return { voltage: rail(facts, ends.get(rails[0])![0].end), resistance: joined(rails[0]) };
  if (rails.length !== 2) return null;
  // Of two rails the lower one is the foot, unless one of them is ground.
  const foot = rails.includes(0) ? 0 : Math.min(...rails);
  const head = rails.find((volts) => volts !== foot)!;
  const [upper, lower] = [joined(head), joined(foot)];
  const [high, low] = [rail(facts, ends.get(head)![0].end), rail(facts, ends.get(foot)![0].end)];
  const share = quotient(lower, sum(upper, lower));
  const across = foot === 0 ? high : difference(high, low);
  return { voltage: total(low, product(across, share)), resistance: parallel(upper, lower) };
}

/** What holds a node by resistors, from rails or from the drive, where nothing else but bases hangs on it. */
function sourceAt(facts: RestFacts, node: NodeName, from?: string[]): Source | null {
  const around = attachmentsAt(facts, node);
  if (around.some((a) => a.kind === 'other' || a.kind === 'load' || (a.kind === 'terminal' && a.terminal !== 'base'))) return null;
  const legs = legsAt(facts, node).filter((leg) => leg.names[0] !== from?.at(-1));
  const drive = around.find((a) => a.kind === 'drive');
  if (drive?.kind === 'drive') {
    if (legs.some((leg) => railVolts(facts, leg.end) !== 0)) return null;
    const own = symbol('R_S', drive.resistance, 'Ω');
    if (drive.offset !== 0 && legs.length > 0) return null;
    const voltage = drive.offset === 0 ? number(0, 'V') : symbol('V_S', drive.offset, 'V');
    return { voltage, resistance: parallel(own, ...legs.map((leg) => leg.formula)) };
  }
  if (legs.length === 0) return null;
  const direct = ofLegs(facts, legs);
  if (direct || legs.length > 1 || from) return direct;
  const before = sourceAt(facts, legs[0].end, legs[0].names);
  return before && { voltage: before.voltage, resistance: sum(legs[0].formula, before.resistance) };
}

/** The transistor whose `terminal` is on a node. */
function terminalAt(facts: RestFacts, node: NodeName, terminal: 'collector' | 'emitter', not: Transistor): Transistor | null {
  return facts.graph.transistors.find((t) => t.name !== not.name && facts.graph.same(t[terminal], node)) ?? null;
}

/** The voltage that a base stands at; null where no rule of thumb gives it. */
export function baseVoltage(facts: RestFacts, t: Transistor, depth = 0): Estimate | null {
  const source = sourceAt(facts, t.base);
  if (source) {
    const drawn = facts.transistors[t.name].baseCurrent;
    return { formula: source.voltage, terms: [baseCurrentTerm(drawn, source.resistance)] };
  }
  if (depth > 2) return null;
  const driver = terminalAt(facts, t.base, 'emitter', t);
  // A follower in front, of a Darlington or of its own: one V_BE more.
  if (driver && driver.kind === t.kind && isActive(facts, driver)) return emitterVoltage(facts, driver, depth + 1);
  const stage = terminalAt(facts, t.base, 'collector', t);
  return stage && isActive(facts, stage) && !terminalAt(facts, t.base, 'emitter', t) ? collectorVoltage(facts, stage) : null;
}

function baseCurrentTerm(drawn: number, resistance: Formula): Term {
  const flows = symbol('I_B', drawn, 'A');
  return {
    what: 'base-current',
    formula: negative(product(flows, resistance)),
    figures: [
      { value: Math.abs(drawn), unit: 'A' },
      { value: evaluate(resistance), unit: 'Ω' },
    ],
  };
}

/** What the computed V_BE adds to the pencil's 0.65 V, for a voltage one V_BE away. */
export function baseEmitterTerm(facts: RestFacts, t: Transistor): Term {
  const here = facts.transistors[t.name].baseEmitterVoltage * signOf(t);
  const more = difference(number(PENCIL_BASE_EMITTER, 'V'), symbol(t.kind === 'npn' ? 'V_BE' : 'V_EB', here, 'V'));
  return {
    what: 'base-emitter-voltage',
    formula: t.kind === 'npn' ? more : negative(more),
    figures: [{ value: here, unit: 'V' }],
  };
}

/** The base's voltage less one V_BE. */
export function emitterVoltage(facts: RestFacts, t: Transistor, depth = 0): Estimate | null {
  const base = baseVoltage(facts, t, depth);
  if (!base) return null;
  return { formula: total(base.formula, negative(pencilBaseEmitter(t))), terms: [...base.terms, baseEmitterTerm(facts, t)] };
}

/** The rail less what the collector current drops in the collector resistor. */
export function collectorVoltage(facts: RestFacts, t: Transistor): Estimate | null {
  const around = attachmentsAt(facts, t.collector);
  const legs = legsAt(facts, t.collector);
  if (facts.graph.isRail(t.collector) || legs.length !== 1 || railVolts(facts, legs[0].end) === null) return null;
  if (around.some((a) => a.kind === 'other' || a.kind === 'drive' || (a.kind === 'terminal' && a.terminal === 'emitter'))) return null;
  const [leg] = legs;
  const flows = symbol('I_C', Math.abs(facts.transistors[t.name].collectorCurrent), 'A');
  const drop = product(flows, leg.formula);
  const terms: Term[] = [];
  for (const a of around) {
    if (a.kind === 'terminal' && a.terminal === 'base') {
      const taken = facts.transistors[a.part.name].baseCurrent;
      terms.push({
        what: 'next-base-current',
        formula: negative(product(symbol('I_B', taken, 'A'), leg.formula)),
        figures: [
          { value: Math.abs(taken), unit: 'A' },
          { value: evaluate(leg.formula), unit: 'Ω' },
        ],
      });
    } else if (a.kind === 'load') {
      const taken = (facts.nodes[t.collector] - (facts.nodes[a.other] ?? 0)) / a.resistance;
      terms.push({
        what: 'load-current',
        formula: negative(product(symbol('I_L', taken, 'A'), leg.formula)),
        figures: [
          { value: Math.abs(taken), unit: 'A' },
          { value: evaluate(leg.formula), unit: 'Ω' },
        ],
      });
    } else if (a.kind === 'terminal' && a.terminal === 'collector' && a.part.name !== t.name) return null;
  }
  return { formula: total(rail(facts, leg.end), t.kind === 'npn' ? negative(drop) : drop), terms };
}
