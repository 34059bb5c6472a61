import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { eigenvalues } from './eigenvalues.ts';

describe('eigenvalues', () => {
  it('finds those of a companion matrix with known roots', () => {
    // (s - 1)(s - 2)(s - 5) = s^3 - 8 s^2 + 17 s - 10.
    const e = eigenvalues(Float64Array.of(8, -17, 10, 1, 0, 0, 0, 1, 0), 3);
    expect(e?.re.map((v) => Math.round(v * 1e9) / 1e9).sort()).toEqual([1, 2, 5]);
  });
  it('finds a rotation and its rate: a pair re +- j im', () => {
    const e = eigenvalues(Float64Array.of(0.5, -2, 2, 0.5), 2);
    expect(e?.re).toEqual([0.5, 0.5]);
    expect(e?.im.map(Math.abs)).toEqual([2, 2]);
  });
  it('returns on matrices whose squares vanish, on zeros, and refuses what is not finite', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 25, maxLength: 25 }),
        fc.integer({ min: -320, max: 300 }),
        (v, d) => {
          const scale = Number(`1e${d}`);
          const e = eigenvalues(
            Float64Array.from(v, (x, k) => x * (k % 7 === 0 ? scale : scale * scale)),
            5,
          );
          expect(e === null || e.re.length === 5).toBe(true);
        },
      ),
      { seed: 3 },
    );
    expect(eigenvalues(new Float64Array(9), 3)?.re).toEqual([0, 0, 0]);
    expect(eigenvalues(Float64Array.of(1, Number.NaN, 0, 1), 2)).toBeNull();
  });
  it('has the trace and the determinant of matrices drawn at random, and pairs of conjugates', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 49, maxLength: 49 }), (v) => {
        const a = Float64Array.from(v);
        const e = eigenvalues(a, 7);
        if (!e) throw new Error('the iteration did not end');
        const trace = a.reduce((sum, x, k) => sum + (k % 8 === 0 ? x : 0), 0);
        expect(e.re.reduce((sum, x) => sum + x, 0)).toBeCloseTo(trace, 9);
        expect(e.im.reduce((sum, x) => sum + x, 0)).toBeCloseTo(0, 12);
        // The trace of the square is the sum of the squares.
        let square = 0;
        for (let i = 0; i < 7; i++) for (let j = 0; j < 7; j++) square += a[i * 7 + j] * a[j * 7 + i];
        expect(e.re.reduce((sum, x, k) => sum + x * x - e.im[k] * e.im[k], 0)).toBeCloseTo(square, 8);
      }),
      { seed: 11 },
    );
  });
  it('finds the eigenvalues of the second-difference matrix, 2 - 2 cos(k pi/(m + 1)) (closed form, any textbook)', () => {
    const m = 12;
    const a = new Float64Array(m * m);
    for (let i = 0; i < m; i++) {
      a[i * m + i] = 2;
      if (i > 0) a[i * m + i - 1] = -1;
      if (i < m - 1) a[i * m + i + 1] = -1;
    }
    const e = eigenvalues(a, m);
    const sorted = [...(e?.re ?? [])].sort((p, q) => p - q);
    sorted.forEach((v, k) => {
      expect(v).toBeCloseTo(2 - 2 * Math.cos(((k + 1) * Math.PI) / (m + 1)), 12);
    });
  });
  it('is not led astray by rows of different units', () => {
    // diag(1, 2) dressed by the similarity diag(1, 1e60).
    const e = eigenvalues(Float64Array.of(1, 1e-60, 0, 2), 2);
    expect([...(e?.re ?? [])].sort()).toEqual([1, 2]);
  });
});
