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
  it('is not led astray by rows of different units', () => {
    // diag(1, 2) dressed by the similarity diag(1, 1e60).
    const e = eigenvalues(Float64Array.of(1, 1e-60, 0, 2), 2);
    expect([...(e?.re ?? [])].sort()).toEqual([1, 2]);
  });
});
