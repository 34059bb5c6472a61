import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  difference,
  evaluate,
  type Formula,
  negative,
  number,
  parallel,
  product,
  quotient,
  sum,
  symbol,
  withNumbers,
  withSymbols,
} from './formula.ts';
import { toMathML } from './mathml.ts';

const divider = difference(
  product(symbol('V_CC', 12, 'V'), quotient(symbol('R2', 56000, 'Ω'), sum(symbol('R1', 39000, 'Ω'), symbol('R2', 56000, 'Ω')))),
  symbol('V_BE', 0.65, 'V'),
);
const plain = (text: string): string => text.replace(/\u00a0/g, ' ');

const resistance = fc.double({ min: 1, max: 1e6, noNaN: true }).map((ohms) => symbol('R', ohms, 'Ω'));
const tree: fc.Arbitrary<Formula> = fc.letrec<{ tree: Formula }>((tie) => ({
  tree: fc.oneof(
    { maxDepth: 4 },
    resistance,
    fc.tuple(tie('tree'), tie('tree')).map(([a, b]) => sum(a, b)),
    fc.tuple(tie('tree'), tie('tree')).map(([a, b]) => parallel(a, b)),
    fc.tuple(tie('tree'), tie('tree')).map(([a, b]) => quotient(a, b)),
    tie('tree').map(negative),
  ),
})).tree;

describe('a rule of thumb as a formula', () => {
  it('prints with symbols and with numbers, and has the value of both', () => {
    expect(withSymbols(divider)).toBe('V_CC·R2/(R1 + R2) − V_BE');
    expect(plain(withNumbers(divider))).toBe('12 V · 56 kΩ/(39 kΩ + 56 kΩ) − 0.65 V');
    expect(evaluate(divider)).toBeCloseTo((12 * 56) / 95 - 0.65, 12);
  });

  it('prints a factor met twice as its square, of a figure with its unit', () => {
    const peak = symbol('V_P', 2, 'V');
    const power = quotient(product(peak, peak), product(number(2), symbol('R_L', 32, 'Ω')));
    expect(withSymbols(power)).toBe('V_P²/(2·R_L)');
    expect(withNumbers(power).replace(/\u00a0/g, ' ')).toBe('(2 V)²/(2 · 32 Ω)');
    expect(evaluate(power)).toBe(4 / 64);
  });

  it('puts brackets where the signs would run together', () => {
    const between = quotient(difference(negative(symbol('V_BE', 0.65, 'V')), symbol('V_EE', -9, 'V')), symbol('R3', 2700, 'Ω'));
    expect(plain(withNumbers(between))).toBe('(−0.65 V − (−9 V))/2.7 kΩ');
    expect(withSymbols(product(symbol('I_Q', 1, 'A'), parallel(symbol('R3', 1, 'Ω'), symbol('R_L', 1, 'Ω'))))).toBe('I_Q·(R3∥R_L)');
  });

  it('never prints two signs in a row, whatever it is made of', () => {
    fc.assert(
      fc.property(tree, (formula) => {
        for (const text of [withSymbols(formula), withNumbers(formula)]) expect(text).not.toMatch(/[−+/·∥] ?[−+]/);
      }),
    );
  });

  it('gives resistances in parallel less than the least of them', () => {
    fc.assert(
      fc.property(resistance, resistance, (a, b) => {
        const both = evaluate(parallel(a, b));
        expect(both).toBeLessThanOrEqual(Math.min(evaluate(a), evaluate(b)));
        expect(both).toBeGreaterThan(0);
      }),
    );
  });

  it('is typeset as MathML with every opened element closed and every name escaped', () => {
    const hostile = sum(divider, symbol('<script>_&"', 1, 'V'), number(2));
    const text = toMathML(hostile);
    expect(text).not.toContain('<script');
    expect(text).toContain('<msub><mi>V</mi><mi>CC</mi></msub>');
    const open: string[] = [];
    for (const [, slash, name] of text.matchAll(/<(\/?)([a-z]+)[^>]*>/g)) {
      if (slash) expect(open.pop()).toBe(name);
      else open.push(name!);
    }
    expect(open).toEqual([]);
  });
});
