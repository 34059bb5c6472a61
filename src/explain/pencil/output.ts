/** Which transistor works on the output, and how: what the flats and the clipped wave are reckoned from. */
import type { NodeName, Transistor } from '../../sheet/types.ts';
import { attachmentsAt, isActive, legsAt, type RestFacts, rail, railVolts } from './facts.ts';
import { type Formula, negative, parallel, product, quotient, sum, symbol } from './formula.ts';
import { lookInto, sharing } from './seen.ts';

/** A follower on the output, straight, behind a capacitor, or behind one resistor. */
export interface OutputFollower {
  t: Transistor;
  /** Share of the emitter's swing that reaches the output, where a resistor lies between. */
  share: Formula[];
  /** True where a capacitor keeps direct current from the output. */
  coupled: boolean;
}

const FOLLOWS = new Set(['follower', 'Darlington member', 'half of a complementary pair']);

/** The conducting followers whose emitter works on the output; both halves of a pair. */
export function outputFollowers(facts: RestFacts): OutputFollower[] {
  const { graph, roles, sheet } = facts;
  const { output } = sheet;
  if (output === undefined) return [];
  return graph.transistors.flatMap((t) => {
    const role = roles[t.name];
    if (!FOLLOWS.has(role?.name ?? '') || role?.compound === 'common emitter' || role?.position === 'first') return [];
    if (graph.sameSignal(t.emitter, output)) return [{ t, share: [], coupled: !graph.same(t.emitter, output) }];
    const r = graph.resistors.find(
      ({ a, b }) => (graph.same(a, t.emitter) && graph.sameSignal(b, output)) || (graph.same(b, t.emitter) && graph.sameSignal(a, output)),
    );
    const partner = sharing(facts, t);
    const beyond = r && lookInto(facts, output, { without: [t.name, r.name, ...(partner ? [partner.name] : [])] });
    if (!r || !beyond) return [];
    const far = graph.same(r.a, t.emitter) ? r.b : r.a;
    const share = quotient(beyond, sum(symbol(r.name, r.resistance, 'Ω'), beyond));
    return [{ t, share: [share], coupled: !graph.same(far, output) }];
  });
}

/** How far the output falls where a lone follower lets go; `volts` where it is a level, else a distance from rest. */
export interface LetsGo {
  formula: Formula;
  level: boolean;
}

/**
 * The flat where a follower on its own stops conducting. Behind a capacitor: the standing current in what the signal
 * sees; with the load on the emitter: the rail's share over R_E and R_L; on a sink: its current in the load
 * (load-line argument, any textbook, from memory).
 */
export function letsGo(facts: RestFacts, { t, share, coupled }: OutputFollower): LetsGo | null {
  if (!isActive(facts, t) || facts.roles[t.name]?.name === 'half of a complementary pair') return null;
  const down = t.kind === 'npn' ? negative : (f: Formula): Formula => f;
  if (coupled) {
    const seen = lookInto(facts, t.emitter, { without: [t.name] });
    const stands = symbol('I_Q', Math.abs(facts.transistors[t.name].emitterCurrent), 'A');
    return seen && { formula: down(product(stands, seen, ...share)), level: false };
  }
  if (share.length > 0) return null;
  const load = attachmentsAt(facts, t.emitter).find((a) => a.kind === 'load');
  if (load?.kind !== 'load' || railVolts(facts, load.other) !== 0) return null;
  const own = symbol('R_L', load.resistance, 'Ω');
  const sink = sinkAt(facts, t.emitter, t);
  const legs = legsAt(facts, t.emitter);
  if (sink && legs.length === 0) {
    const takes = symbol('I', Math.abs(facts.transistors[sink.name].collectorCurrent), 'A');
    return { formula: down(product(takes, own)), level: true };
  }
  if (sink || legs.length === 0 || new Set(legs.map((leg) => railVolts(facts, leg.end))).size !== 1) return null;
  if (railVolts(facts, legs[0].end) === null) return null;
  const foot = parallel(...legs.map((leg) => leg.formula));
  return { formula: product(rail(facts, legs[0].end), quotient(own, sum(foot, own))), level: true };
}

function sinkAt(facts: RestFacts, node: NodeName, not: Transistor): Transistor | null {
  return facts.graph.transistors.find((t) => t.name !== not.name && isActive(facts, t) && facts.graph.same(t.collector, node)) ?? null;
}

/** The load's resistance by its symbol, where it is known. */
export function loadOf(facts: RestFacts): Formula | null {
  const { output } = facts.sheet;
  const load = output === undefined ? undefined : attachmentsAt(facts, output).find((a) => a.kind === 'load');
  return load?.kind === 'load' ? symbol('R_L', load.resistance, 'Ω') : null;
}
