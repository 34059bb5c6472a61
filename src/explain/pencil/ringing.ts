/** A follower into a capacitance may ring: its emitter looks inductive where a resistance stands before its base. */
import { connectedLoad } from '../../circuit/network.ts';
import { pow } from '../../numerics/elementary.ts';
import type { Transistor } from '../../sheet/types.ts';
import { isActive, type RestFacts } from './facts.ts';
import { applied, difference, evaluate, type Formula, number, product, quotient, sum, symbol } from './formula.ts';
import { type LedgerLine, line, type Term } from './line.ts';
import { outputFollowers } from './output.ts';
import { lookInto, pencilResistance } from './seen.ts';

/** Capacitance from the output to signal ground, F: the load's, its cable's and that of capacitors there; null without any. */
function hanging({ graph, sheet }: RestFacts, t: Transistor): Formula | null {
  const load = connectedLoad(sheet);
  const own = sheet.output !== undefined && graph.sameSignal(t.emitter, sheet.output) && load && !load.series ? load : undefined;
  const farads = [own?.capacitor ?? 0, own?.cable ? own.cable.length * own.cable.capacitancePerMetre : 0];
  for (const p of sheet.parts) {
    // One that is short at the drive frequency has made the emitter signal ground already.
    if (p.kind !== 'capacitor' || p.lifted || p.shorted || graph.sameSignal(p.from, p.to)) continue;
    const [from, to] = [graph.sameSignal(p.from, t.emitter), graph.sameSignal(p.to, t.emitter)];
    if ((from && graph.grounded(p.to)) || (to && graph.grounded(p.from))) farads.push(p.capacitance);
  }
  const all = farads.reduce((total, one) => total + one, 0);
  return all > 0 ? symbol('C_L', all, 'F') : null;
}

/** C_j at a forward voltage, continued along its tangent above two thirds of the junction potential (Gummel-Poon, as the engine has it). */
function depletion(farads: number, potential: number, grading: number, volts: number): number {
  const ratio = volts / potential;
  const knee = 2 / 3;
  if (ratio <= knee) return farads * pow(1 - ratio, -grading);
  return farads * pow(3, grading) * (1 + 3 * grading * (ratio - knee));
}

/** C_π: what the base stores, τ_F/r_e, and the junction's own. */
function baseEmitterCapacitance(facts: RestFacts, t: Transistor): number {
  const { area, parameters: q } = t;
  const stored = (q.forwardTransitTime ?? 0) / evaluate(pencilResistance(facts, t));
  const junction =
    q.emitterJunctionCapacitance === undefined
      ? 0
      : depletion(
          q.emitterJunctionCapacitance * area,
          q.emitterJunctionPotential ?? 1,
          q.emitterJunctionGrading ?? 0,
          Math.abs(facts.transistors[t.name].baseEmitterVoltage),
        );
  return stored + junction;
}

/** C_μ at rest. */
function collectorCapacitance(facts: RestFacts, t: Transistor): number {
  const { area, parameters: q } = t;
  if (q.collectorJunctionCapacitance === undefined) return 0;
  const { baseEmitterVoltage, collectorEmitterVoltage } = facts.transistors[t.name];
  const forward = Math.abs(baseEmitterVoltage) - Math.abs(collectorEmitterVoltage);
  return depletion(q.collectorJunctionCapacitance * area, q.collectorJunctionPotential ?? 1, q.collectorJunctionGrading ?? 0, forward);
}

/**
 * 1/(2π √(R r_e C_L C_π)), R what stands before the base: the undamped frequency of the follower's two poles (derived from
 * the hybrid-pi model; Kozikowski, IEEE Trans. Circuit Theory 11, 1964, from memory). With C_μ the product C_L C_π becomes
 * C_L C_π + C_L C_μ + C_π C_μ.
 * @param computed undamped frequency of the least damped pair of poles, Hz; null where nothing rings
 */
export function ringingLine(facts: RestFacts, computed: number | null): LedgerLine[] {
  const [follower, ...others] = outputFollowers(facts);
  if (computed === null || !follower || others.length > 0 || follower.share.length > 0) return [];
  const { t } = follower;
  const before = lookInto(facts, t.base, { source: true, without: [t.name] });
  const load = hanging(facts, t);
  if (facts.roles[t.name]?.name !== 'follower' || !isActive(facts, t) || !before || !load) return [];
  const [own, pi] = [pencilResistance(facts, t), symbol('C_π', baseEmitterCapacitance(facts, t), 'F')];
  if (!(evaluate(pi) > 0)) return [];
  const frequency = (resistance: Formula, capacitances: Formula): Formula =>
    quotient(number(1), product(number(2), symbol('π', Math.PI, 'number'), applied('sqrt', product(resistance, own, capacitances))));
  const rule = frequency(before, product(load, pi));
  const mu = collectorCapacitance(facts, t);
  const bulk = (t.parameters.baseResistance ?? 0) / t.area;
  const terms: Term[] = [];
  if (mu > 0) {
    const c = symbol('C_μ', mu, 'F');
    const all = sum(product(load, pi), product(load, c), product(pi, c));
    terms.push({ what: 'collector-capacitance', formula: difference(frequency(before, all), rule), figures: [{ value: mu, unit: 'F' }] });
  }
  if (bulk > 0) {
    const more = sum(before, symbol('r_B', bulk, 'Ω'));
    const figures = [{ value: bulk, unit: 'Ω' as const }];
    terms.push({ what: 'base-resistance', formula: difference(frequency(more, product(load, pi)), rule), figures });
  }
  return line('undamped frequency of the ringing', 'Hz', rule, computed, terms);
}
