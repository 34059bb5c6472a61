/** Gain, what source and load see, and the corners of the capacitors, by pencil. */
import type { Capacitor, NodeName } from '../../sheet/types.ts';
import { SignalGraph } from '../roles-graph.ts';
import type { Refinement, RestFacts } from './facts.ts';
import { applied, difference, evaluate, type Formula, number, product, quotient, sum, symbol } from './formula.ts';
import { stageGain } from './gain.ts';
import { type Figure, type LedgerLine, line, type OmittedKind, type Term } from './line.ts';
import { cornerLoss, reactanceTerms } from './reactance.ts';
import { ringingLine } from './ringing.ts';
import { lookInto } from './seen.ts';

/** The answer's own figures, SI; gain with its sign where its phase is nearer to 180° than to 0. */
export interface SignalFigures {
  frequency: number;
  gain: number | null;
  inputImpedance: number | null;
  /** With the resistors of `biasResistors` taken out and everything else as it stands, Ω. */
  withoutBias: number | null;
  outputImpedance: number | null;
  lowCorner: number | null;
  /** Undamped frequency of the least damped pair of poles, Hz, where one rings. */
  ringing: number | null;
  /** Hz, by capacitor: the corner it makes alone with what the stage offers at its terminals. */
  corners: Record<string, number>;
}

/** Two corners lie near each other within this factor. Common practice, no source. */
const NEAR = 5;

export function impedanceLedger(facts: RestFacts, figures: SignalFigures): LedgerLine[] {
  const corners = cornerRules(facts);
  return [
    ...gainLine(facts, figures, corners),
    ...seenLines(facts, figures),
    ...lowCornerLine(corners, figures),
    ...cornerLines(corners, figures),
    ...ringingLine(facts, figures.ringing),
  ];
}

function gainLine(facts: RestFacts, { gain, frequency }: SignalFigures, corners: readonly Corner[]): LedgerLine[] {
  const formula = stageGain(facts);
  if (!formula || gain === null) return [];
  const losses = corners.flatMap((corner) => cornerLoss(facts, formula, corner, frequency));
  return line('gain', 'number', formula, gain, [...losses, ...refinedTerms(facts, formula, stageGain)]);
}

/** The resistors that only set the voltage of a base the drive works on: from what is one node to the signal with it to signal ground. */
export function biasResistors({ graph, sheet }: RestFacts): string[] {
  const { drive } = sheet;
  if (!drive || !graph.transistors.some((t) => graph.sameSignal(t.base, drive.node))) return [];
  const ends = graph.resistors.filter(
    (r) => graph.sameSignal(r.a, drive.node) !== graph.sameSignal(r.b, drive.node) && (graph.grounded(r.a) || graph.grounded(r.b)),
  );
  // An emitter on the same node has its own resistor there.
  return graph.transistors.some((t) => graph.sameSignal(t.emitter, drive.node)) ? [] : ends.map((r) => r.name);
}

function baseLine(facts: RestFacts, { frequency, withoutBias }: SignalFigures): LedgerLine[] {
  const { drive } = facts.sheet;
  const without = biasResistors(facts);
  const seen = drive && without.length > 0 ? lookInto(facts, drive.node, { without }) : null;
  if (!drive || !seen || withoutBias === null) return [];
  return line('input impedance without the bias network', 'Ω', seen, withoutBias, [
    ...reactanceTerms(facts, drive.node, seen, frequency),
    ...refinedTerms(facts, seen, (refined) => lookInto(refined, drive.node, { without })),
  ]);
}

function seenLines(facts: RestFacts, figures: SignalFigures): LedgerLine[] {
  const { drive, output } = facts.sheet;
  if (!drive || output === undefined) return [];
  const input = lookInto(facts, drive.node);
  const out = lookInto(facts, output, { load: false, source: true });
  const { frequency, inputImpedance, outputImpedance } = figures;
  return [
    ...(input && inputImpedance !== null
      ? line('input impedance', 'Ω', input, inputImpedance, [
          ...reactanceTerms(facts, drive.node, input, frequency),
          ...refinedTerms(facts, input, (refined) => lookInto(refined, drive.node)),
        ])
      : []),
    ...baseLine(facts, figures),
    ...(out && outputImpedance !== null
      ? line('output impedance', 'Ω', out, outputImpedance, [
          ...reactanceTerms(facts, output, out, frequency),
          ...refinedTerms(facts, out, (refined) => lookInto(refined, output, { load: false, source: true })),
        ])
      : []),
  ];
}

/** What the rule changes by when it takes account of one thing more. */
function refinedTerms(facts: RestFacts, plain: Formula, rule: (refined: RestFacts) => Formula | null): Term[] {
  const kinds: [Refinement, OmittedKind][] = [
    ['knee', 'high-injection'],
    ['bulk', 'bulk-resistance'],
    ['base-resistor', 'base-resistor'],
  ];
  return kinds.flatMap(([refined, what]) => {
    const better = rule({ ...facts, refined });
    return better ? [{ what, formula: difference(better, plain) }] : [];
  });
}

interface Corner {
  parts: string[];
  formula: Formula;
  value: number;
}

/**
 * 1/(2π C (R_a + R_b)) of every capacitor that the signal passes or that ties a node to signal ground. Several that
 * lead from one node to what is one node to the signal count as one.
 */
function cornerRules(facts: RestFacts): Corner[] {
  const { graph, sheet } = facts;
  const joining = sheet.parts.filter((p) => p.kind === 'capacitor' && !p.lifted && !p.shorted && graph.sameSignal(p.from, p.to));
  const found: Corner[] = [];
  const done = new Set<string>();
  for (const part of joining) {
    if (part.kind !== 'capacitor' || done.has(part.name)) continue;
    const shared = joining.filter(
      (p) => p.kind === 'capacitor' && !graph.grounded(p.from) && meet(facts, p, part) && graph.sameSignal(p.from, part.from),
    );
    const group = shared.length > 0 ? shared : [part];
    for (const p of group) done.add(p.name);
    const corner = cornerOf(
      facts,
      group.filter((p) => p.kind === 'capacitor'),
      part,
    );
    if (corner) found.push(corner);
  }
  return found.sort((a, b) => b.value - a.value);
}

/** True where two capacitors begin at one node and neither ends at signal ground. */
function meet({ graph }: RestFacts, p: Capacitor, q: Capacitor): boolean {
  return [p.from, p.to].some((end) => graph.same(end, q.from) || graph.same(end, q.to));
}

/** The corner of capacitors that are away together, the others short: by what they see on either side. */
function cornerOf(facts: RestFacts, group: Capacitor[], first: Capacitor): Corner | null {
  const { sheet } = facts;
  const names = group.map((p) => p.name);
  const parts = sheet.parts.map((p) => (names.includes(p.name) ? { ...p, lifted: true } : p));
  // What the group joined stays one node to the signal, seen from beyond: a link of no resistance in its place.
  const open: RestFacts = { ...facts, graph: new SignalGraph({ ...sheet, parts: [...parts, ...links(facts, group)] }) };
  if (open.graph.sameSignal(first.from, first.to)) return null;
  const sides = [first.from, first.to].filter((node) => !open.graph.grounded(node)).map((node) => lookInto(open, node, { source: true }));
  const seen = sides.filter((side) => side !== null);
  if (seen.length === 0 || seen.length < sides.length) return null;
  const capacitance = sum(...group.map((p) => symbol(p.name, p.capacitance, 'F')));
  const formula = quotient(number(1), product(number(2), symbol('π', Math.PI, 'number'), capacitance, sum(...seen)));
  return { parts: names, formula, value: evaluate(formula) };
}

/** The far ends of capacitors that share their near end, tied to each other. */
function links({ graph }: RestFacts, group: Capacitor[]): Capacitor[] {
  const [first, ...others] = group;
  return others.map((other) => {
    const near = [first.from, first.to].find((end) => graph.same(end, other.from) || graph.same(end, other.to)) ?? first.from;
    const far = (p: Capacitor): NodeName => (graph.same(p.from, near) ? p.to : p.from);
    return { ...other, name: `${first.name} with ${other.name}`, from: far(first), to: far(other), lifted: false };
  });
}

function cornerLines(corners: Corner[], figures: SignalFigures): LedgerLine[] {
  // Of a single one the low corner has said all.
  if (corners.length < 2) return [];
  return corners.flatMap(({ parts, formula }) => {
    const computed = parts.length === 1 ? figures.corners[parts[0]] : undefined;
    return computed === undefined ? [] : line(`corner of ${parts[0]}`, 'Hz', formula, computed);
  });
}

/**
 * The highest corner beside the computed one. Of two first-order corners a and b in a row the gain is 3 dB down where
 * f² = (a² + b² + √((a² + b²)² + 4a²b²))/2 (elementary: the product of two first-order magnitudes). Where they act on
 * each other the sum of the corners comes nearer (method of short-circuit time constants: Sedra and Smith,
 * Microelectronic Circuits, from memory).
 */
function lowCornerLine(corners: Corner[], figures: SignalFigures): LedgerLine[] {
  const [first, second] = corners;
  if (!first || figures.lowCorner === null) return [];
  const terms: Term[] = [];
  if (second) {
    const squared = (name: string, value: number): Formula => product(symbol(name, value, 'Hz'), symbol(name, value, 'Hz'));
    const [a, b] = [squared('f_1', first.value), squared('f_2', second.value)];
    const both = sum(a, b);
    const root = applied('sqrt', sum(product(both, both), product(number(4), a, b)));
    const joint = applied('sqrt', quotient(sum(both, root), number(2)));
    const figures: Figure[] = [{ value: second.value, unit: 'Hz' }];
    terms.push({ what: 'other-corner', formula: difference(joint, symbol('f_1', first.value, 'Hz')), figures });
    terms.push({ what: 'other-corner', formula: symbol('f_2', second.value, 'Hz'), figures });
  }
  const lines = line('low corner', 'Hz', first.formula, figures.lowCorner, terms);
  if (!second || first.value > NEAR * second.value) return lines;
  return lines.map((l) => ({ ...l, remark: { kind: 'corners-near' as const, parts: [...first.parts, ...second.parts], factor: NEAR } }));
}
