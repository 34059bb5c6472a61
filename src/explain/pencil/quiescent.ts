/** What an engineer puts on paper about a stage at rest: voltages first, then currents, r_e and heat. */
import type { Transistor } from '../../sheet/types.ts';
import { baseVoltage, collectorVoltage, emitterVoltage } from './base.ts';
import { attachmentsAt, isActive, legsAt, PENCIL_THERMAL, type RestFacts, rail, railVolts, total } from './facts.ts';
import { difference, evaluate, type Formula, negative, number, parallel, product, quotient, symbol } from './formula.ts';
import { type LedgerLine, line, type Term } from './line.ts';

/** The lines of every conducting transistor, the one with the largest current first. */
export function quiescentLedger(facts: RestFacts): LedgerLine[] {
  const size = (t: Transistor): number => Math.abs(facts.transistors[t.name].collectorCurrent);
  return facts.graph.transistors
    .filter((t) => isActive(facts, t))
    .sort((a, b) => size(b) - size(a))
    .flatMap((t) => [
      ...emitterLine(facts, t),
      ...standingLine(facts, t),
      ...baseLine(facts, t),
      ...collectorLine(facts, t),
      ...resistanceLine(facts, t),
      ...idleLine(facts, t),
    ]);
}

function baseLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const base = baseVoltage(facts, t);
  // A base that rests at nought has no rule worth a line.
  if (!base || evaluate(base.formula) === 0) return [];
  return line(`base voltage of ${t.name}`, 'V', base.formula, facts.nodes[t.base], base.terms);
}

function emitterLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  if (facts.graph.isRail(t.emitter)) return [];
  const emitter = emitterVoltage(facts, t);
  return emitter ? line(`emitter voltage of ${t.name}`, 'V', emitter.formula, facts.nodes[t.emitter], emitter.terms) : [];
}

/** V_E/R_E, to whichever rail R_E goes. */
function standingLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const emitter = emitterVoltage(facts, t);
  const legs = legsAt(facts, t.emitter);
  const feet = new Set(legs.map((leg) => railVolts(facts, leg.end)));
  if (!emitter || feet.size !== 1 || feet.has(null)) return [];
  const resistance = parallel(...legs.map((leg) => leg.formula));
  const terms: Term[] = emitter.terms.map((term) => ({ ...term, formula: quotient(term.formula, resistance) }));
  for (const a of attachmentsAt(facts, t.emitter)) {
    if (a.kind === 'load') {
      const end = facts.nodes[a.other] ?? 0;
      const across = difference(emitter.formula, number(end, 'V'));
      const current = quotient(end === 0 ? emitter.formula : across, symbol('R_L', a.resistance, 'Ω'));
      terms.push({ what: 'load-current', formula: current, figures: [{ value: Math.abs(evaluate(current)), unit: 'A' }] });
    } else if (a.kind === 'other' || a.kind === 'drive' || (a.kind === 'terminal' && a.part.name !== t.name)) return [];
  }
  const across = total(emitter.formula, negative(rail(facts, legs[0].end)));
  const current: Formula = quotient(across, resistance);
  const sign = t.kind === 'npn' ? current : quotient(negative(across), resistance);
  const signed = t.kind === 'npn' ? terms : terms.map((term) => ({ ...term, formula: negative(term.formula) }));
  return line(`standing current of ${t.name}`, 'A', sign, Math.abs(facts.transistors[t.name].emitterCurrent), signed);
}

function collectorLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const collector = collectorVoltage(facts, t);
  return collector ? line(`collector voltage of ${t.name}`, 'V', collector.formula, facts.nodes[t.collector], collector.terms) : [];
}

/** 26 mV/I_C. */
function resistanceLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const { emitterResistance, collectorCurrent } = facts.transistors[t.name];
  if (emitterResistance === null) return [];
  const flows = symbol('I_C', Math.abs(collectorCurrent), 'A');
  return line(`r_e of ${t.name}`, 'Ω', quotient(number(PENCIL_THERMAL, 'V'), flows), emitterResistance, resistanceTerms(facts, t));
}

/**
 * Gummel and Poon (Bell System Technical Journal 49, 1970): beyond the knee current I_KF the collector current grows
 * with half the exponent, which adds V_T/(I_KF + I_C) to V_T/I_C.
 */
function resistanceTerms(facts: RestFacts, t: Transistor): Term[] {
  const { collectorCurrent } = facts.transistors[t.name];
  const { forwardKneeCurrent, forwardIdeality } = t.parameters;
  const flows = symbol('I_C', Math.abs(collectorCurrent), 'A');
  const terms: Term[] = [];
  if (forwardKneeCurrent !== undefined) {
    const knee = symbol('I_KF', forwardKneeCurrent * t.area, 'A');
    terms.push({
      what: 'high-injection',
      formula: quotient(number(PENCIL_THERMAL, 'V'), { kind: 'sum', terms: [knee, flows] }),
      figures: [{ value: forwardKneeCurrent * t.area, unit: 'A' }],
    });
  }
  if (forwardIdeality !== undefined) {
    const more = difference(symbol('n_F', forwardIdeality, 'number'), number(1));
    terms.push({
      what: 'ideality',
      formula: quotient(product(more, number(PENCIL_THERMAL, 'V')), flows),
      figures: [{ value: forwardIdeality, unit: 'number' }],
    });
  }
  return terms;
}

/** V_CE I_C. */
function idleLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const { collectorEmitterVoltage, collectorCurrent, dissipation } = facts.transistors[t.name];
  const across = symbol(t.kind === 'npn' ? 'V_CE' : 'V_EC', Math.abs(collectorEmitterVoltage), 'V');
  return line(`idle dissipation of ${t.name}`, 'W', product(across, symbol('I_C', Math.abs(collectorCurrent), 'A')), dissipation);
}
