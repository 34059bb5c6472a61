/** What a signal sees by pencil, looking into a node: resistors, bases through beta, emitters through r_e. */
import { connectedLoad } from '../../circuit/network.ts';
import type { NodeName, Transistor } from '../../sheet/types.ts';
import { isActive, PENCIL_THERMAL, type RestFacts } from './facts.ts';
import { type Formula, number, parallel, product, quotient, sum, symbol } from './formula.ts';

export interface Look {
  /** The generator's own resistance counts. */
  source?: boolean;
  load?: boolean;
  /** Parts already passed. */
  without?: readonly string[];
  /** Nodes already passed: what leads back to one is no way to signal ground. */
  behind?: readonly NodeName[];
}

/** r_e by pencil: 26 mV over the standing current. */
export function pencilResistance(facts: RestFacts, t: Transistor): Formula {
  const current = Math.abs(facts.transistors[t.name].collectorCurrent);
  const own = symbol('r_e', PENCIL_THERMAL / current, 'Ω');
  const { area, parameters } = t;
  if (facts.refined === 'knee' && parameters.forwardKneeCurrent !== undefined) {
    const both = sum(symbol('I_KF', parameters.forwardKneeCurrent * area, 'A'), symbol('I_C', current, 'A'));
    return sum(own, quotient(number(PENCIL_THERMAL, 'V'), both));
  }
  if (facts.refined === 'bulk') {
    const emitter = symbol('r_E', (parameters.emitterResistance ?? 0) / area, 'Ω');
    const base = symbol('r_B', (parameters.baseResistance ?? 0) / area, 'Ω');
    return sum(own, emitter, quotient(base, beta(facts, t)));
  }
  return own;
}

/**
 * Beta at rest; with the knee taken account of, what is left of it for a small signal: by Gummel and Poon (Bell System
 * Technical Journal 49, 1970) it falls by 1 + I_C/(I_KF + I_C).
 */
function beta(facts: RestFacts, t: Transistor): Formula {
  const standing = facts.transistors[t.name];
  const atRest = symbol('β', Math.abs(standing.beta ?? Number.NaN), 'number');
  const knee = t.parameters.forwardKneeCurrent;
  if (facts.refined !== 'knee' || knee === undefined) return atRest;
  const current = symbol('I_C', Math.abs(standing.collectorCurrent), 'A');
  return quotient(atRest, sum(number(1), quotient(current, sum(symbol('I_KF', knee * t.area, 'A'), current))));
}

/** How many times a resistance in the emitter shows at the base: beta, less where a resistor bridges base and emitter. */
export function multiplied(facts: RestFacts, t: Transistor): Formula {
  const bridge = bridging(facts, t);
  if (bridge.length === 0) return beta(facts, t);
  const own = pencilResistance(facts, t);
  return quotient(parallel(...bridge.map((r) => symbol(r.name, r.resistance, 'Ω')), product(beta(facts, t), own)), own);
}

/** Resistors from base to emitter: the emitter follows the base, so that they hardly load it. */
function bridging({ graph }: RestFacts, t: Transistor): { name: string; resistance: number }[] {
  return graph.resistorsAt(t.base).filter((r) => graph.same(r.other, t.emitter));
}

/** The other half of a complementary pair, where both conduct and so share the load between them. */
export function sharing(facts: RestFacts, t: Transistor): Transistor | null {
  const role = facts.roles[t.name];
  if (role?.name !== 'half of a complementary pair') return null;
  const other = facts.graph.transistors.find((o) => o.name === role.partner);
  return other && isActive(facts, other) ? other : null;
}

/** The resistance from a node to signal ground; null where nothing leads there. */
export function lookInto(facts: RestFacts, node: NodeName, look: Look = {}): Formula | null {
  const ways = waysFrom(facts, node, look);
  return ways.length > 0 ? parallel(...ways) : null;
}

function waysFrom(facts: RestFacts, node: NodeName, look: Look): Formula[] {
  const { graph, sheet } = facts;
  const passed = look.without ?? [];
  const ways: Formula[] = [];
  if (graph.grounded(node)) return ways;
  const behind = [...(look.behind ?? []), node];
  const bridges = new Set(graph.transistors.filter((t) => isActive(facts, t)).flatMap((t) => bridging(facts, t).map((r) => r.name)));
  const two = [
    ...graph.resistors.map((r) => ({ ...r, formula: symbol(r.name, r.resistance, 'Ω') })),
    ...graph.diodes.flatMap((d) => {
      const current = facts.diodes[d.name];
      return current > 0 ? [{ ...d, formula: symbol(`r_${d.name}`, PENCIL_THERMAL / current, 'Ω') }] : [];
    }),
  ];
  for (const r of two) {
    if (passed.includes(r.name) || bridges.has(r.name)) continue;
    const [a, b] = [graph.sameSignal(r.a, node), graph.sameSignal(r.b, node)];
    if (a === b) continue;
    const other = a ? r.b : r.a;
    if (behind.some((back) => graph.sameSignal(back, other))) continue;
    if (graph.grounded(other)) ways.push(r.formula);
    else {
      const beyond = lookInto(facts, other, { ...look, behind, without: [...passed, r.name] });
      if (beyond) ways.push(sum(r.formula, beyond));
    }
  }
  for (const t of graph.transistors) {
    // A transistor with one and the same signal at collector and emitter has no part in it: a V_BE multiplier between two capacitors.
    if (passed.includes(t.name) || !isActive(facts, t) || graph.sameSignal(t.collector, t.emitter)) continue;
    if (graph.sameSignal(t.base, node)) ways.push(...intoBase(facts, t, look));
    else if (graph.sameSignal(t.emitter, node)) ways.push(intoEmitter(facts, t, look));
  }
  const load = connectedLoad(sheet);
  const loaded = load?.resistor ?? load?.speaker?.resistance;
  if (look.load !== false && loaded !== undefined && sheet.output !== undefined && graph.sameSignal(sheet.output, node))
    ways.push(symbol('R_L', loaded, 'Ω'));
  if (look.source && sheet.drive && graph.sameSignal(sheet.drive.node, node)) ways.push(symbol('R_S', sheet.drive.sourceResistance, 'Ω'));
  return ways;
}

function intoBase(facts: RestFacts, t: Transistor, look: Look): Formula[] {
  const partner = sharing(facts, t);
  const without = [...(look.without ?? []), t.name, ...(partner ? [partner.name] : [])];
  const own = pencilResistance(facts, t);
  const { graph } = facts;
  if (graph.grounded(t.emitter)) return [product(multiplied(facts, t), own)];
  const below = lookInto(facts, t.emitter, { ...look, without, behind: [...(look.behind ?? []), t.base] });
  if (!below) return [];
  // Either half of a pair carries half the load's current.
  return [product(multiplied(facts, t), sum(own, partner ? product(number(2), below) : below))];
}

function intoEmitter(facts: RestFacts, t: Transistor, look: Look): Formula {
  const own = pencilResistance(facts, t);
  const behind = lookInto(facts, t.base, {
    ...look,
    without: [...(look.without ?? []), t.name],
    behind: [...(look.behind ?? []), t.emitter],
  });
  if (!behind) return own;
  // What stands before the bases of a pair carries the base currents of both.
  const shared = sharing(facts, t) ? product(number(2), behind) : behind;
  return sum(own, quotient(shared, multiplied(facts, t)));
}
