/** What an engineer puts on paper about a stage at rest: voltages first, then currents, r_e and heat. */
import { BOLTZMANN, ELEMENTARY_CHARGE, SILICON_BANDGAP, SILICON_EXPONENT, thermalVoltage } from '../../devices/constants.ts';
import type { Transistor } from '../../sheet/types.ts';
import { baseVoltage, collectorVoltage, emitterVoltage } from './base.ts';
import {
  attachmentsAt,
  isActive,
  legsAt,
  PENCIL_BASE_EMITTER,
  PENCIL_PER_KELVIN,
  PENCIL_THERMAL,
  type RestFacts,
  rail,
  railVolts,
  total,
} from './facts.ts';
import { difference, evaluate, type Formula, negative, number, parallel, product, quotient, sum, symbol } from './formula.ts';
import { type LedgerLine, line, type Term } from './line.ts';

const ZERO_CELSIUS = 273.15;

/** The lines of every conducting transistor, the one with the largest current first. */
export function quiescentLedger(facts: RestFacts): LedgerLine[] {
  const size = (t: Transistor): number => Math.abs(facts.transistors[t.name].collectorCurrent);
  const lines = facts.graph.transistors
    .filter((t) => isActive(facts, t))
    .sort((a, b) => size(b) - size(a))
    .flatMap((t) => [
      ...emitterLine(facts, t),
      ...standingLine(facts, t),
      ...sinkLine(facts, t),
      ...multiplierLine(facts, t),
      ...baseLine(facts, t),
      ...collectorLine(facts, t),
      ...resistanceLine(facts, t),
      ...idleLine(facts, t),
    ]);
  return [...lines, ...warmingLine(facts)];
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
  const { collectorCurrent, junctionTemperature } = facts.transistors[t.name];
  const { forwardKneeCurrent, forwardIdeality } = t.parameters;
  const flows = symbol('I_C', Math.abs(collectorCurrent), 'A');
  const warm = symbol('V_T', thermalVoltage(junctionTemperature + ZERO_CELSIUS), 'V');
  const terms: Term[] = [
    {
      what: 'warm-junction',
      formula: quotient(difference(warm, number(PENCIL_THERMAL, 'V')), flows),
      figures: [{ value: junctionTemperature, unit: '°C' }],
    },
  ];
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

/** What lies between the collector's rail and the emitter, by pencil, times the current. */
function idleLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const { collectorCurrent, dissipation } = facts.transistors[t.name];
  const emitter = facts.graph.isRail(t.emitter) ? { formula: rail(facts, t.emitter), terms: [] } : emitterVoltage(facts, t);
  const collector = facts.graph.isRail(t.collector) ? { formula: rail(facts, t.collector), terms: [] } : collectorVoltage(facts, t);
  if (!emitter || !collector) return [];
  const [high, low] = t.kind === 'npn' ? [collector, emitter] : [emitter, collector];
  const across = total(high.formula, negative(low.formula));
  const flows = symbol('I_C', Math.abs(collectorCurrent), 'A');
  const terms = [
    ...high.terms.map((term) => ({ ...term, formula: product(term.formula, flows) })),
    ...low.terms.map((term) => ({ ...term, formula: negative(product(term.formula, flows)) })),
  ];
  return line(`idle dissipation of ${t.name}`, 'W', product(across, flows), dissipation, terms);
}

/** (V_ref − V_BE)/R of a transistor whose base a diode, a reference or another transistor holds. */
function sinkLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const role = facts.roles[t.name]?.name;
  const legs = legsAt(facts, t.emitter);
  if ((role !== 'current sink' && role !== 'current source') || legs.length !== 1 || emitterVoltage(facts, t)) return [];
  const foot = railVolts(facts, legs[0].end);
  if (foot === null || attachmentsAt(facts, t.emitter).length !== 2) return [];
  const reference = symbol('V_ref', Math.abs(facts.nodes[t.base] - foot), 'V');
  const across = difference(reference, symbol(t.kind === 'npn' ? 'V_BE' : 'V_EB', PENCIL_BASE_EMITTER, 'V'));
  const missed = Math.abs(facts.transistors[t.name].baseEmitterVoltage);
  const more: Term = {
    what: 'base-emitter-voltage',
    formula: quotient(difference(number(PENCIL_BASE_EMITTER, 'V'), symbol('V_BE', missed, 'V')), legs[0].formula),
    figures: [{ value: missed, unit: 'V' }],
  };
  const current = Math.abs(facts.transistors[t.name].collectorCurrent);
  return line(`current of ${t.name}`, 'A', quotient(across, legs[0].formula), current, [more]);
}

/** V_BE(1 + R1/R2), R1 from collector to base and R2 from base to emitter. */
function multiplierLine(facts: RestFacts, t: Transistor): LedgerLine[] {
  const legs = legsAt(facts, t.base);
  const [upper, ...otherUpper] = legs.filter((leg) => facts.graph.same(leg.end, t.collector));
  const [lower, ...otherLower] = legs.filter((leg) => facts.graph.same(leg.end, t.emitter));
  if (!upper || !lower || otherUpper.length + otherLower.length > 0 || attachmentsAt(facts, t.base).length !== 3) return [];
  const standing = facts.transistors[t.name];
  const times = sum(number(1), quotient(upper.formula, lower.formula));
  const here = Math.abs(standing.baseEmitterVoltage);
  const drawn = Math.abs(standing.baseCurrent);
  const terms: Term[] = [
    {
      what: 'base-current',
      formula: product(symbol('I_B', drawn, 'A'), upper.formula),
      figures: [
        { value: drawn, unit: 'A' },
        { value: evaluate(upper.formula), unit: 'Ω' },
      ],
    },
    {
      what: 'base-emitter-voltage',
      formula: product(difference(symbol('V_BE', here, 'V'), number(PENCIL_BASE_EMITTER, 'V')), times),
      figures: [{ value: here, unit: 'V' }],
    },
  ];
  const rule = product(symbol(t.kind === 'npn' ? 'V_BE' : 'V_EB', PENCIL_BASE_EMITTER, 'V'), times);
  return line(`voltage across ${t.name}`, 'V', rule, Math.abs(standing.collectorEmitterVoltage), terms);
}

/**
 * −2 mV/K of the junction that warms most. At a constant current V_BE drifts by (V_BE − V_G0)/T − γk/q, from a saturation
 * current that grows as T^γ exp(−V_G0 q/kT) (Gray, Hurst, Lewis and Meyer, Analysis and Design of Analog Integrated
 * Circuits, from memory).
 */
function warmingLine(facts: RestFacts): LedgerLine[] {
  const heat = (t: Transistor): number => facts.transistors[t.name]?.dissipation ?? 0;
  const [t] = facts.graph.transistors
    .filter((one) => isActive(facts, one) && one.name in facts.voltsPerKelvin)
    .sort((a, b) => heat(b) - heat(a));
  if (!t) return [];
  const { baseEmitterVoltage, junctionTemperature } = facts.transistors[t.name];
  const here = Math.abs(baseEmitterVoltage);
  const kelvin = symbol('T', junctionTemperature + ZERO_CELSIUS, 'number');
  const gap = symbol('V_G0', t.parameters.bandgapVoltage ?? SILICON_BANDGAP, 'V');
  const growth = symbol('γ', t.parameters.saturationTemperatureExponent ?? SILICON_EXPONENT, 'number');
  const lies = quotient(difference(symbol('V_BE', here, 'V'), gap), kelvin);
  const drift = difference(lies, product(growth, number(BOLTZMANN / ELEMENTARY_CHARGE, 'V/K')));
  const term: Term = {
    what: 'low-current-drift',
    formula: difference(drift, number(PENCIL_PER_KELVIN, 'V/K')),
    figures: [{ value: here, unit: 'V' }],
  };
  return line(`V_BE of ${t.name} per kelvin`, 'V/K', number(PENCIL_PER_KELVIN, 'V/K'), facts.voltsPerKelvin[t.name], [term]);
}
