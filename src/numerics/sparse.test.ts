import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ComplexSparseLU, patternOf, positionIn, SingularMatrix, SparseLU } from './sparse.ts';

const matrices = fc.integer({ min: 1, max: 14 }).chain((n) =>
  fc.record({
    n: fc.constant(n),
    entries: fc.array(fc.tuple(fc.integer({ min: 0, max: n - 1 }), fc.integer({ min: 0, max: n - 1 })), { maxLength: 4 * n }),
    seed: fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 8 * n, maxLength: 8 * n }),
  }),
);

/** A diagonally dominant matrix on the drawn pattern, so that a solution exists and is well determined. */
function build(n: number, entries: [number, number][], seed: number[]) {
  const pattern = patternOf(n, [...entries, ...Array.from({ length: n }, (_, i): [number, number] => [i, i])]);
  const values = new Float64Array(pattern.columns.length);
  for (let p = 0; p < values.length; p++) values[p] = seed[p % seed.length];
  for (let i = 0; i < n; i++) values[positionIn(pattern, i, i)] = n + 2;
  return { pattern, values };
}

function multiply(pattern: ReturnType<typeof patternOf>, values: Float64Array, x: Float64Array, transposed = false) {
  const y = new Float64Array(pattern.n);
  for (let i = 0; i < pattern.n; i++) {
    for (let p = pattern.rowStart[i]; p < pattern.rowStart[i + 1]; p++) {
      const j = pattern.columns[p];
      if (transposed) y[j] += values[p] * x[i];
      else y[i] += values[p] * x[j];
    }
  }
  return y;
}

describe('sparse LU', () => {
  it('solves A x = b and its transpose to rounding, and again after the values changed', () => {
    fc.assert(
      fc.property(matrices, ({ n, entries, seed }) => {
        const { pattern, values } = build(n, entries, seed);
        const lu = new SparseLU(pattern);
        const x = Float64Array.from({ length: n }, (_, i) => 1 + i);
        const out = new Float64Array(n);
        for (const scale of [1, 1.7]) {
          const scaled = values.map((v) => v * scale);
          lu.factor(scaled);
          lu.solve(multiply(pattern, scaled, x), out);
          for (let i = 0; i < n; i++) expect(out[i]).toBeCloseTo(x[i], 9);
          lu.solveTransposed(multiply(pattern, scaled, x, true), out);
          for (let i = 0; i < n; i++) expect(out[i]).toBeCloseTo(x[i], 9);
        }
        expect(lu.plans).toBe(1);
      }),
      { seed: 7 },
    );
  });

  it('chooses a new order when a pivot of the old one has vanished', () => {
    const pattern = patternOf(2, [
      [0, 0],
      [0, 1],
      [1, 0],
      [1, 1],
    ]);
    const lu = new SparseLU(pattern);
    lu.factor(Float64Array.of(2, 1, 1, 1));
    lu.factor(Float64Array.of(0, 1, 1, 0));
    const x = new Float64Array(2);
    lu.solve(Float64Array.of(3, 5), x);
    expect([...x]).toEqual([5, 3]);
  });

  it('names a singular matrix instead of dividing by zero', () => {
    const lu = new SparseLU(
      patternOf(2, [
        [0, 0],
        [0, 1],
        [1, 0],
        [1, 1],
      ]),
    );
    expect(() => lu.factor(Float64Array.of(1, 2, 2, 4))).toThrow(SingularMatrix);
    expect(() => lu.factor(Float64Array.of(1, Number.NaN, 2, 4))).toThrow(SingularMatrix);
  });

  it('solves complex systems: (G + jB) x = b', () => {
    fc.assert(
      fc.property(matrices, ({ n, entries, seed }) => {
        const { pattern, values } = build(n, entries, seed);
        const im = values.map((v, p) => v * seed[(p * 3) % seed.length]);
        const lu = new ComplexSparseLU(pattern);
        lu.factor(values, im);
        const x = Float64Array.from({ length: n }, (_, i) => 1 + i);
        const z = Float64Array.from({ length: n }, (_, i) => 2 - i);
        const bRe = multiply(pattern, values, x).map((v, i) => v - multiply(pattern, im, z)[i]);
        const bIm = multiply(pattern, values, z).map((v, i) => v + multiply(pattern, im, x)[i]);
        lu.solve(bRe, bIm, bRe, bIm);
        for (let i = 0; i < n; i++) {
          expect(bRe[i]).toBeCloseTo(x[i], 8);
          expect(bIm[i]).toBeCloseTo(z[i], 8);
        }
      }),
      { seed: 8 },
    );
  });
});
