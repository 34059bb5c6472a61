/** A formula as MathML (presentation elements of MathML Core, W3C), as text; every name and figure is escaped. */
import { type Formula, type Leaf, leafText, squares } from './formula.ts';

const ESCAPES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };
const escaped = (text: string): string => text.replace(/[&<>"']/g, (c) => ESCAPES[c]);
const row = (...inside: string[]): string => `<mrow>${inside.join('')}</mrow>`;
const operator = (sign: string): string => `<mo>${sign}</mo>`;
const bracketed = (inside: string): string => row(operator('('), inside, operator(')'));

/** The formula in a `math` element, with its symbols. */
export function toMathML(formula: Formula): string {
  return `<math xmlns="http://www.w3.org/1998/Math/MathML">${typeset(formula)}</math>`;
}

function leafElement(leaf: Leaf): string {
  if (leaf.kind === 'number') return `<mn>${escaped(leafText(leaf))}</mn>`;
  const [letter, ...low] = leaf.symbol.split('_');
  const main = `<mi>${escaped(letter)}</mi>`;
  return low.length > 0 ? `<msub>${main}<mi>${escaped(low.join('_'))}</mi></msub>` : main;
}

/** Fractions and roots hold together by how they are set; sums in products are put in brackets. */
function typeset(formula: Formula): string {
  const factor = (part: Formula): string =>
    part.kind === 'sum' || part.kind === 'negative' || part.kind === 'parallel' ? bracketed(typeset(part)) : typeset(part);
  switch (formula.kind) {
    case 'number':
    case 'symbol':
      return leafElement(formula);
    case 'sum':
      return row(
        ...formula.terms.map((term, k) => {
          const minus = term.kind === 'negative';
          const sign = minus ? operator('\u2212') : k > 0 ? operator('+') : '';
          const inside = minus ? term.of : term;
          return sign + (inside.kind === 'sum' || inside.kind === 'negative' ? bracketed(typeset(inside)) : typeset(inside));
        }),
      );
    case 'negative':
      return row(operator('\u2212'), formula.of.kind === 'sum' ? bracketed(typeset(formula.of)) : typeset(formula.of));
    case 'product':
      return row(
        squares(formula.factors)
          .map((one) => (one.twice ? `<msup>${row(factor(one.factor))}<mn>2</mn></msup>` : factor(one.factor)))
          .join(operator('\u22c5')),
      );
    case 'quotient':
      return `<mfrac>${row(typeset(formula.over))}${row(typeset(formula.under))}</mfrac>`;
    case 'parallel':
      return row(
        formula.of
          .map((one) => (one.kind === 'symbol' || one.kind === 'number' ? typeset(one) : bracketed(typeset(one))))
          .join(operator('\u2225')),
      );
    case 'function':
      return formula.name === 'sqrt'
        ? `<msqrt>${typeset(formula.of)}</msqrt>`
        : row(`<mi>${formula.name}</mi>`, bracketed(typeset(formula.of)));
    case 'relation':
      return row(`<mtext>${escaped(formula.name)}</mtext>`, bracketed(typeset(formula.of)));
  }
}
