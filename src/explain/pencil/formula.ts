/** A rule of thumb as a small tree: it prints with symbols, prints with the numbers put in, and has a value. */
import { atan2, cos, sin } from '../../numerics/elementary.ts';
import { formatQuantity } from '../../quantity/format.ts';
import type { Unit } from '../../quantity/units.ts';

export type FormulaFunction = 'sqrt' | 'arcsin' | 'sin' | 'cos';

/** Plain data, so that an answer can carry it. Values are SI. */
export type Formula =
  | { kind: 'number'; value: number; unit: Unit }
  | { kind: 'symbol'; symbol: string; value: number; unit: Unit }
  | { kind: 'sum'; terms: Formula[] }
  | { kind: 'negative'; of: Formula }
  | { kind: 'product'; factors: Formula[] }
  | { kind: 'quotient'; over: Formula; under: Formula }
  | { kind: 'parallel'; of: Formula[] }
  | { kind: 'function'; name: FormulaFunction; of: Formula }
  /** A relation of the books by its name, of one argument; `is` is what it stands for. */
  | { kind: 'relation'; name: string; of: Formula; is: Formula };

export const number = (value: number, unit: Unit = 'number'): Formula => ({ kind: 'number', value, unit });
/** A symbol of the trade (`V_CC`, `R1`) and what it stands for here. */
export const symbol = (name: string, value: number, unit: Unit): Formula => ({ kind: 'symbol', symbol: name, value, unit });
/** Sums within sums are written out. */
export function sum(...terms: Formula[]): Formula {
  const flat = terms.flatMap((term) => (term.kind === 'sum' ? term.terms : [term]));
  return flat.length === 1 ? flat[0] : { kind: 'sum', terms: flat };
}
export const negative = (of: Formula): Formula => (of.kind === 'negative' ? of.of : { kind: 'negative', of });
export const difference = (a: Formula, b: Formula): Formula => sum(a, negative(b));
export const product = (...factors: Formula[]): Formula => (factors.length === 1 ? factors[0] : { kind: 'product', factors });
export const quotient = (over: Formula, under: Formula): Formula => ({ kind: 'quotient', over, under });
export const parallel = (...of: Formula[]): Formula => (of.length === 1 ? of[0] : { kind: 'parallel', of });
export const relation = (name: string, of: Formula, is: Formula): Formula => ({ kind: 'relation', name, of, is });
export const applied = (name: FormulaFunction, of: Formula): Formula => ({ kind: 'function', name, of });

const FUNCTIONS: Record<FormulaFunction, (x: number) => number> = {
  sqrt: Math.sqrt,
  arcsin: (x) => atan2(x, Math.sqrt(1 - x * x)),
  sin,
  cos,
};

/** The formula's value, SI. */
export function evaluate(formula: Formula): number {
  switch (formula.kind) {
    case 'number':
    case 'symbol':
      return formula.value;
    case 'sum':
      return formula.terms.reduce((total, term) => total + evaluate(term), 0);
    case 'negative':
      return -evaluate(formula.of);
    case 'product':
      return formula.factors.reduce((total, factor) => total * evaluate(factor), 1);
    case 'quotient':
      return evaluate(formula.over) / evaluate(formula.under);
    case 'parallel':
      return 1 / formula.of.reduce((total, one) => total + 1 / evaluate(one), 0);
    case 'function':
      return FUNCTIONS[formula.name](evaluate(formula.of));
    case 'relation':
      return evaluate(formula.is);
  }
}

/** How tightly a formula holds together; what binds less is put in brackets. */
const BINDS: Record<Formula['kind'], number> = {
  sum: 1,
  negative: 1,
  parallel: 2,
  product: 3,
  quotient: 3,
  function: 5,
  relation: 1,
  number: 5,
  symbol: 5,
};

/** The formula with its symbols: `V_CC·R2/(R1 + R2) − V_BE`. */
export function withSymbols(formula: Formula): string {
  return printed(formula, leafText, '·');
}
/** The formula with every symbol's number in its place: `12 V · 56 kΩ/(39 kΩ + 56 kΩ) − 0.65 V`. */
export function withNumbers(formula: Formula): string {
  return printed(formula, (leaf) => (leaf.kind === 'symbol' && leaf.symbol === 'π' ? 'π' : figure(leaf)), ' · ');
}

export type Leaf = Extract<Formula, { kind: 'number' | 'symbol' }>;
/** A leaf as it stands in the rule: its symbol, or its figure. */
export const leafText = (leaf: Leaf): string => (leaf.kind === 'symbol' ? leaf.symbol : figure(leaf));

/** Three significant figures; tenths of a volt stay in volts, as on a bench. */
function figure({ value, unit }: Leaf): string {
  const magnitude = Math.abs(value);
  const options = { digits: 3, typographic: true, trim: true };
  if (unit === 'V' && magnitude >= 0.09995 && magnitude < 1) return `${formatQuantity(value, 'number', options)}\u00a0V`;
  return formatQuantity(value, unit, options);
}

function printed(formula: Formula, text: (leaf: Leaf) => string, times: string): string {
  const inside = (part: Formula, least: Formula['kind']): string => {
    const shown = printed(part, text, times);
    return BINDS[part.kind] < BINDS[least] || shown.startsWith('\u2212') ? `(${shown})` : shown;
  };
  switch (formula.kind) {
    case 'number':
    case 'symbol':
      return text(formula);
    case 'sum':
      return formula.terms.map((term, k) => signed(term, k, (part) => inside(part, 'parallel'))).join('');
    case 'negative':
      return `\u2212${inside(formula.of, 'parallel')}`;
    case 'product':
      return squares(formula.factors)
        .map(({ factor, twice }) => {
          if (!twice) return inside(factor, 'product');
          const shown = inside(factor, 'symbol');
          // A figure with its unit stands in brackets: the square is of both.
          return /^[^\s\u00a0]+$/.test(shown) || shown.startsWith('(') ? `${shown}²` : `(${shown})²`;
        })
        .join(times);
    case 'quotient':
      return `${inside(formula.over, 'product')}/${inside(formula.under, 'symbol')}`;
    case 'parallel':
      return formula.of.map((one) => inside(one, 'symbol')).join('\u2225');
    case 'function':
      return `${formula.name === 'sqrt' ? '√' : formula.name}(${printed(formula.of, text, times)})`;
    case 'relation':
      return `${formula.name} at ${printed(formula.of, text, times)}`;
  }
}

/** The factors of a product in order, a pair of equal ones in a row as one square. */
export function squares(factors: readonly Formula[]): { factor: Formula; twice: boolean }[] {
  const found: { factor: Formula; twice: boolean }[] = [];
  for (const factor of factors) {
    const last = found.at(-1);
    if (last && !last.twice && factor.kind !== 'number' && JSON.stringify(last.factor) === JSON.stringify(factor)) last.twice = true;
    else found.push({ factor, twice: false });
  }
  return found;
}

/** A term of a sum with the sign before it. The first of a sum may carry its own minus. */
function signed(term: Formula, place: number, inside: (part: Formula) => string): string {
  const minus = term.kind === 'negative';
  const text = inside(minus ? term.of : term);
  if (place === 0) return minus ? `\u2212${text}` : text.replace(/^\((\u2212[^()]*)\)$/, '$1');
  return minus ? ` \u2212 ${text}` : ` + ${text}`;
}
