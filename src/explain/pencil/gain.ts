/** The gain of the stages in a row from the driven node to the output, by pencil. */
import type { NodeName, Transistor } from '../../sheet/types.ts';
import { isActive, type RestFacts } from './facts.ts';
import { type Formula, negative, number, parallel, product, quotient, sum, symbol } from './formula.ts';
import { lookInto, multiplied, pencilResistance, sharing } from './seen.ts';

interface Step {
  factors: Formula[];
  node: NodeName;
  passed: string[];
}

/** The gain as a product of the stages' gains; null where no row of stages that rules of thumb know leads to the output. */
export function stageGain(facts: RestFacts): Formula | null {
  const { drive, output } = facts.sheet;
  if (!drive || output === undefined) return null;
  let step: Step = { factors: [], node: drive.node, passed: [] };
  for (let k = 0; k <= facts.graph.transistors.length; k++) {
    const arrived = atOutput(facts, step, output);
    if (arrived) return arrived.length > 0 ? product(...arrived) : null;
    const next = through(facts, step);
    if (!next) return null;
    step = next;
  }
  return null;
}

/** The factors once the node is the output, straight or behind one resistor; null before that. */
function atOutput(facts: RestFacts, step: Step, output: NodeName): Formula[] | null {
  const { graph } = facts;
  if (graph.sameSignal(step.node, output)) return step.factors;
  const ready = graph.transistors.some((t) => isActive(facts, t) && !step.passed.includes(t.name) && graph.sameSignal(t.base, step.node));
  if (ready) return null;
  const r = graph.resistors.find(
    ({ a, b }) =>
      (graph.sameSignal(a, step.node) && graph.sameSignal(b, output)) || (graph.sameSignal(b, step.node) && graph.sameSignal(a, output)),
  );
  if (!r || step.factors.length === 0) return null;
  const beyond = lookInto(facts, output, { without: [...step.passed, r.name] });
  if (!beyond) return step.factors;
  return [...step.factors, quotient(beyond, sum(symbol(r.name, r.resistance, 'Ω'), beyond))];
}

/** A transistor driven from a node at its base: straight, or through one resistor or conducting diode. */
function drivenFrom(facts: RestFacts, step: Step): { t: Transistor; resistor?: { name: string; resistance: number } } | null {
  const { graph } = facts;
  const ready = graph.transistors.filter(
    (t) => isActive(facts, t) && !step.passed.includes(t.name) && !graph.grounded(t.base) && !graph.sameSignal(t.collector, t.emitter),
  );
  const at = (node: NodeName): Transistor | undefined => ready.find((t) => graph.sameSignal(t.base, node));
  const straight = at(step.node);
  if (straight) return { t: straight };
  const links: { a: NodeName; b: NodeName; resistor?: { name: string; resistance: number } }[] = [
    ...graph.resistors.map((r) => ({ a: r.a, b: r.b, resistor: r })),
    ...graph.diodes,
  ];
  for (const { a, b, resistor } of links) {
    const other = graph.sameSignal(a, step.node) ? b : graph.sameSignal(b, step.node) ? a : null;
    const t = other !== null && !graph.grounded(other) ? at(other) : undefined;
    if (t) return resistor ? { t, resistor } : { t };
  }
  return null;
}

function through(facts: RestFacts, step: Step): Step | null {
  const driven = drivenFrom(facts, step);
  if (!driven) return null;
  const { t, resistor } = driven;
  const role = facts.roles[t.name];
  const passed = [...step.passed, t.name];
  switch (role?.name) {
    case 'follower':
    case 'Darlington member':
      if (role.name === 'Darlington member' && role.compound !== 'follower') return null;
      return follower(facts, t, step, passed);
    case 'half of a complementary pair':
      return pair(facts, t, step, passed);
    case 'common emitter':
      return commonEmitter(facts, t, step, passed, baseResistance(facts, t, resistor));
    case 'half of a differential pair':
      return differential(facts, t, step, passed, baseResistance(facts, t, resistor));
    default:
      return null;
  }
}

/** The resistor before a base as it shows at the emitter, where the rule is to take account of it. */
function baseResistance(facts: RestFacts, t: Transistor, resistor?: { name: string; resistance: number }): Formula[] {
  if (facts.refined !== 'base-resistor' || !resistor) return [];
  return [quotient(symbol(resistor.name, resistor.resistance, 'Ω'), multiplied(facts, t))];
}

function follower(facts: RestFacts, t: Transistor, step: Step, passed: string[]): Step | null {
  const below = lookInto(facts, t.emitter, { without: passed });
  if (!below) return { ...step, node: t.emitter, passed };
  return { factors: [...step.factors, quotient(below, sum(below, pencilResistance(facts, t)))], node: t.emitter, passed };
}

/** Both halves carry the signal: their emitters' resistances lie in parallel before the load. */
function pair(facts: RestFacts, t: Transistor, step: Step, passed: string[]): Step | null {
  const { graph, sheet } = facts;
  const partner = sharing(facts, t);
  if (sheet.output === undefined) return null;
  const halves = partner ? [t, partner] : [t];
  const resistors = halves.map((half) =>
    graph.resistorsAt(half.emitter).filter((r) => !graph.grounded(r.other) && graph.sameSignal(r.other, sheet.output!)),
  );
  const direct = halves.every((half) => graph.sameSignal(half.emitter, sheet.output!));
  if (!direct && resistors.some((own) => own.length !== 1)) return null;
  const all = [...passed, ...halves.map((half) => half.name), ...resistors.flat().map((r) => r.name)];
  const load = lookInto(facts, sheet.output, { without: all });
  if (!load) return { ...step, node: sheet.output, passed: all };
  const before = parallel(
    ...halves.map((half, k) =>
      sum(pencilResistance(facts, half), ...(direct ? [] : resistors[k].map((r) => symbol(r.name, r.resistance, 'Ω')))),
    ),
  );
  return { factors: [...step.factors, quotient(load, sum(load, before))], node: sheet.output, passed: all };
}

function degeneration(facts: RestFacts, t: Transistor): Formula[] {
  const names = facts.roles[t.name]?.degeneration ?? [];
  return facts.graph.resistors.filter((r) => names.includes(r.name)).map((r) => symbol(r.name, r.resistance, 'Ω'));
}

function commonEmitter(facts: RestFacts, t: Transistor, step: Step, passed: string[], base: Formula[]): Step | null {
  const load = lookInto(facts, t.collector, { without: passed });
  if (!load) return null;
  const below = degeneration(facts, t);
  const emitter = sum(pencilResistance(facts, t), ...(below.length > 0 ? [parallel(...below)] : []), ...base);
  return { factors: [...step.factors, negative(quotient(load, emitter))], node: t.collector, passed };
}

/** R_C over twice r_e, inverted at the collector of the half that is driven. */
function differential(facts: RestFacts, t: Transistor, step: Step, passed: string[], base: Formula[]): Step | null {
  const { graph, roles, sheet } = facts;
  const partner = graph.transistors.find((o) => o.name === roles[t.name]?.partner);
  if (!partner || !isActive(facts, partner) || sheet.output === undefined) return null;
  const all = [...passed, partner.name];
  const other = graph.sameSignal(partner.collector, sheet.output);
  const collector = other ? partner.collector : t.collector;
  const load = graph.grounded(collector) ? null : lookInto(facts, collector, { without: all });
  if (!load) return null;
  const emitter = sum(pencilResistance(facts, t), ...degeneration(facts, t), ...base);
  const size = quotient(load, product(number(2), emitter));
  return { factors: [...step.factors, other ? size : negative(size)], node: collector, passed: all };
}
