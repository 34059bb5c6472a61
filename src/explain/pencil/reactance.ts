/** What coupling capacitors add at the drive frequency: at right angles to the resistances they stand in series with. */
import type { Capacitor, NodeName } from '../../sheet/types.ts';
import type { RestFacts } from './facts.ts';
import { applied, difference, evaluate, type Formula, number, product, quotient, sum, symbol } from './formula.ts';
import type { Term } from './line.ts';
import { outputFollowers } from './output.ts';
import { multiplied, sharing } from './seen.ts';

const square = (f: Formula): Formula => product(f, f);

/** The capacitors on a node by what they lead to; those side by side are one. */
function groupsAt({ graph, sheet }: RestFacts, node: NodeName): Capacitor[][] {
  const byOther: { other: NodeName; group: Capacitor[] }[] = [];
  for (const p of sheet.parts) {
    if (p.kind !== 'capacitor' || p.lifted || p.shorted || graph.same(p.from, node) === graph.same(p.to, node)) continue;
    const other = graph.same(p.from, node) ? p.to : p.from;
    const known = byOther.find((g) => graph.same(g.other, other));
    if (known) known.group.push(p);
    else byOther.push({ other, group: [p] });
  }
  return byOther.map(({ group }) => group);
}

function reactanceOf(group: readonly Capacitor[], frequency: number): Formula {
  const capacitance = group.reduce((total, p) => total + p.capacitance, 0);
  return symbol(`X_${group.map((p) => p.name).join('∥')}`, 1 / (2 * Math.PI * frequency * capacitance), 'Ω');
}

/** The reactance before the base of the one follower on the output, as it shows at the emitter: divided by beta. */
function beforeBase(facts: RestFacts, frequency: number): Formula[] {
  const [follower, ...others] = outputFollowers(facts);
  if (!follower || others.length > 0 || sharing(facts, follower.t)) return [];
  const { graph, roles, sheet } = facts;
  const { t } = follower;
  const first = graph.transistors.find((o) => o.name === roles[t.name]?.partner && roles[t.name]?.compound !== undefined);
  const base = (first ?? t).base;
  const drive = sheet.drive?.node;
  const betas = [multiplied(facts, t), ...(first ? [multiplied(facts, first)] : [])];
  return groupsAt(facts, base)
    .filter((group) => drive !== undefined && group.every((p) => graph.same(p.from, drive) || graph.same(p.to, drive)))
    .map((group) => quotient(reactanceOf(group, frequency), product(...betas)));
}

/** √(R² + X²) − R of what is seen at a node; at the output with what stands before the base of its follower. */
export function reactanceTerms(facts: RestFacts, node: NodeName, resistance: Formula, frequency: number): Term[] {
  const own = groupsAt(facts, node).map((group) => reactanceOf(group, frequency));
  const all = facts.sheet.output === node ? [...own, ...beforeBase(facts, frequency)] : own;
  if (all.length === 0) return [];
  const x = sum(...all);
  const whole = applied('sqrt', sum(square(resistance), square(x)));
  return [{ what: 'reactance', formula: difference(whole, resistance), figures: [{ value: evaluate(x), unit: 'Ω' }] }];
}

/** What a gain loses by the corner f_c of the capacitor before the output: the factor 1/√(1 + (f_c/f)²) (first-order RC). */
export function cornerLoss(
  facts: RestFacts,
  gain: Formula,
  corner: { formula: Formula; parts: readonly string[] },
  frequency: number,
): Term[] {
  const { output } = facts.sheet;
  const before = facts.sheet.parts.some(
    (p) =>
      p.kind === 'capacitor' &&
      corner.parts.includes(p.name) &&
      output !== undefined &&
      (facts.graph.same(p.from, output) || facts.graph.same(p.to, output)),
  );
  if (!before) return [];
  const hertz = evaluate(corner.formula);
  const ratio = quotient(symbol(`f_${corner.parts.join('∥')}`, hertz, 'Hz'), symbol('f', frequency, 'Hz'));
  const lost = quotient(gain, applied('sqrt', sum(number(1), square(ratio))));
  return [{ what: 'corner-of-output', formula: difference(lost, gain), figures: [{ value: hertz, unit: 'Hz' }] }];
}
