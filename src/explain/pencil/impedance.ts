/** Gain, what source and load see, and the corners of the capacitors, by pencil. */
import { SignalGraph } from '../roles-graph.ts';
import type { RestFacts } from './facts.ts';
import { applied, difference, evaluate, type Formula, number, product, quotient, sum, symbol } from './formula.ts';
import { stageGain } from './gain.ts';
import { type LedgerLine, line, type Term } from './line.ts';
import { lookInto } from './seen.ts';

/** The answer's own figures, SI; gain with its sign where its phase is nearer to 180° than to 0. */
export interface SignalFigures {
  frequency: number;
  gain: number | null;
  inputImpedance: number | null;
  outputImpedance: number | null;
  lowCorner: number | null;
  /** Hz, by capacitor: the corner it makes alone with what the stage offers at its terminals. */
  corners: Record<string, number>;
}

/** Two corners lie near each other within this factor. Common practice, no source. */
const NEAR = 5;

export function impedanceLedger(facts: RestFacts, figures: SignalFigures): LedgerLine[] {
  const corners = cornerRules(facts);
  return [...gainLine(facts, figures), ...seenLines(facts, figures), ...lowCornerLine(corners, figures), ...cornerLines(corners, figures)];
}

function gainLine(facts: RestFacts, { gain }: SignalFigures): LedgerLine[] {
  const formula = stageGain(facts);
  return formula && gain !== null ? line('gain', 'number', formula, gain) : [];
}

function seenLines(facts: RestFacts, figures: SignalFigures): LedgerLine[] {
  const { drive, output } = facts.sheet;
  if (!drive || output === undefined) return [];
  const input = lookInto(facts, drive.node);
  const out = lookInto(facts, output, { load: false, source: true });
  const { frequency, inputImpedance, outputImpedance } = figures;
  return [
    ...(input && inputImpedance !== null
      ? line('input impedance', 'Ω', input, inputImpedance, reactanceTerms(facts, drive.node, input, frequency))
      : []),
    ...(out && outputImpedance !== null
      ? line('output impedance', 'Ω', out, outputImpedance, reactanceTerms(facts, output, out, frequency))
      : []),
  ];
}

/** The reactance of the capacitors on a node, at right angles to the resistance. */
function reactanceTerms(facts: RestFacts, node: string, resistance: Formula, frequency: number): Term[] {
  return facts.sheet.parts.flatMap((p) => {
    if (p.kind !== 'capacitor' || p.lifted || p.shorted || !(facts.graph.same(p.from, node) || facts.graph.same(p.to, node))) return [];
    const reactance = 1 / (2 * Math.PI * frequency * p.capacitance);
    const x = symbol(`X_${p.name}`, reactance, 'Ω');
    const whole = applied('sqrt', sum(product(resistance, resistance), product(x, x)));
    return [{ what: 'reactance' as const, formula: difference(whole, resistance), figures: [{ value: reactance, unit: 'Ω' as const }] }];
  });
}

interface Corner {
  part: string;
  formula: Formula;
  value: number;
}

/** 1/(2π C (R_a + R_b)) of every capacitor that the signal passes or that ties a node to signal ground. */
function cornerRules(facts: RestFacts): Corner[] {
  const { sheet } = facts;
  const found: Corner[] = [];
  for (const part of sheet.parts) {
    if (part.kind !== 'capacitor' || part.lifted || part.shorted || !facts.graph.sameSignal(part.from, part.to)) continue;
    // The capacitor away, the others short: what it sees on either side.
    const parts = sheet.parts.map((p) => (p.name === part.name ? { ...p, lifted: true } : p));
    const open: RestFacts = { ...facts, graph: new SignalGraph({ ...sheet, parts }) };
    if (open.graph.sameSignal(part.from, part.to)) continue;
    const sides = [part.from, part.to].flatMap((node) => {
      if (open.graph.grounded(node)) return [];
      const side = lookInto(open, node, { source: true });
      return [side];
    });
    if (sides.length === 0 || sides.some((side) => side === null)) continue;
    const resistance = sum(...sides.filter((side) => side !== null));
    const formula = quotient(
      number(1),
      product(number(2), symbol('π', Math.PI, 'number'), symbol(part.name, part.capacitance, 'F'), resistance),
    );
    found.push({ part: part.name, formula, value: evaluate(formula) });
  }
  return found.sort((a, b) => b.value - a.value);
}

function cornerLines(corners: Corner[], figures: SignalFigures): LedgerLine[] {
  return corners.flatMap(({ part, formula }) => {
    const computed = figures.corners[part];
    return computed === undefined ? [] : line(`corner of ${part}`, 'Hz', formula, computed);
  });
}

/**
 * The highest corner beside the computed one. Of two first-order corners a and b in a row the gain is 3 dB down where
 * f² = (a² + b² + √((a² + b²)² + 4a²b²))/2 (elementary: the product of two first-order magnitudes).
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
    terms.push({
      what: 'other-corner',
      formula: difference(joint, symbol('f_1', first.value, 'Hz')),
      figures: [{ value: second.value, unit: 'Hz' }],
    });
  }
  const lines = line('low corner', 'Hz', first.formula, figures.lowCorner, terms);
  if (!second || first.value > NEAR * second.value) return lines;
  return lines.map((l) => ({ ...l, remark: { kind: 'corners-near' as const, parts: [first.part, second.part], factor: NEAR } }));
}
