/** A line of the ledger: a rule of thumb beside the computed figure, and what the rule leaves out where they part. */
import type { Unit } from '../../quantity/units.ts';
import { evaluate, type Formula, withNumbers, withSymbols } from './formula.ts';

/** A structured formula: text in the trade's notation and its tree for typesetting. */
export interface Rule {
  /** The rule with symbols, `V_CC·R2/(R1 + R2) − V_BE`. */
  expression: string;
  /** The same with the numbers put in, `12 V · 56 kΩ/(39 kΩ + 56 kΩ) − 0.65 V`. */
  withNumbers?: string;
  value: number;
  /** The tree that both texts were printed from. */
  formula?: Formula;
}

/** What a rule of thumb leaves out, each kind with a sentence of its own in the words layer. */
export type OmittedKind =
  | 'base-current'
  | 'base-emitter-voltage'
  | 'load-current'
  | 'next-base-current'
  | 'high-injection'
  | 'ideality'
  | 'bulk-resistance'
  | 'base-resistor'
  | 'reactance'
  | 'other-corner'
  | 'wave-shape'
  | 'charged-capacitor'
  | 'corner-of-output'
  | 'warm-junction'
  | 'collector-capacitance'
  | 'base-resistance'
  | 'low-current-drift';

/** One term that the rule leaves out; its value is in the line's unit and adds to the rule's. */
export interface Omitted {
  what: OmittedKind;
  expression: string;
  withNumbers: string;
  value: number;
  /** The figures that tell of it, SI, such as the base current and what it flows in. */
  figures: Figure[];
}
export interface Figure {
  value: number;
  unit: Unit;
}

/** What to mind about a line although its rule holds. */
export type LedgerRemark = { kind: 'corners-near'; parts: string[]; factor: number };

export interface LedgerLine {
  quantity: string;
  unit: string;
  rule: Rule;
  computed: number;
  /**
   * Where rule and computed value differ by more than a tenth: the one or two terms that bring the rule within a tenth,
   * or none where no one or two of those known do. Absent where they agree.
   */
  omitted?: Omitted[];
  remark?: LedgerRemark;
}

/** A term that a rule might leave out: its closed form, and the figures to tell of it. */
export interface Term {
  what: OmittedKind;
  formula: Formula;
  figures?: Figure[];
}

/** Rule and computed value count as apart from this share of the rule on. */
const APART = 0.1;

/** V: no rule of thumb is meant to be nearer than this. */
const GRAIN = 0.005;

/** True where a computed value is not within a tenth of what the rule gives, nor, in volts, within a few millivolts. */
export function apart(rule: number, computed: number, unit?: string): boolean {
  return !(Math.abs(computed - rule) <= Math.max(APART * Math.abs(rule), unit === 'V' ? GRAIN : 0));
}

/**
 * The line of a rule, or nothing where rule or computed value is not a number. Of the terms, the fewest that bring the
 * rule within a tenth are kept, and of several such choices the one that comes nearest.
 */
export function line(quantity: string, unit: Unit, formula: Formula, computed: number, terms: Term[] = []): LedgerLine[] {
  const value = evaluate(formula);
  if (!Number.isFinite(value) || !Number.isFinite(computed)) return [];
  const rule: Rule = { expression: withSymbols(formula), withNumbers: withNumbers(formula), value, formula };
  const plain: LedgerLine = { quantity, unit, rule, computed };
  return [apart(value, computed, unit) ? { ...plain, omitted: explained(value, computed, terms) } : plain];
}

function explained(rule: number, computed: number, terms: Term[]): Omitted[] {
  const known = terms.map(omittedOf).filter((o) => Number.isFinite(o.value) && o.value !== 0);
  const pairs = known.flatMap((a, i) => known.slice(i + 1).map((b) => [a, b]));
  for (const choices of [known.map((o) => [o]), pairs]) {
    const left = (choice: Omitted[]): number => Math.abs(rule + choice.reduce((total, o) => total + o.value, 0) - computed);
    const enough = choices.filter(
      (choice) =>
        !apart(
          choice.reduce((total, o) => total + o.value, rule),
          computed,
        ),
    );
    if (enough.length > 0) return enough.reduce((best, choice) => (left(choice) < left(best) ? choice : best));
  }
  return [];
}

function omittedOf({ what, formula, figures }: Term): Omitted {
  return { what, expression: withSymbols(formula), withNumbers: withNumbers(formula), value: evaluate(formula), figures: figures ?? [] };
}
