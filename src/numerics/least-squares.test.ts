import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { leastSquares } from './least-squares.ts';

describe('least squares', () => {
  it('solves a straight line in closed form, with its covariance', () => {
    const number = fc.double({ min: -10, max: 10, noNaN: true });
    fc.assert(
      fc.property(fc.array(number, { minLength: 6, maxLength: 6 }), (y) => {
        const x = [0, 1, 2, 3, 4, 5];
        const result = leastSquares((p, r) => r.set(x.map((v, i) => p[0] + p[1] * v - y[i])), [0, 0], 6);
        // Normal equations of a line: any textbook of statistics.
        const meanX = 2.5;
        const meanY = y.reduce((a, b) => a + b) / 6;
        const gradient = x.reduce((s, v, i) => s + (v - meanX) * (y[i] - meanY), 0) / 17.5;
        expect(result.reason).not.toBe('limit');
        expect(result.parameters[1]).toBeCloseTo(gradient, 6);
        expect(result.parameters[0]).toBeCloseTo(meanY - gradient * meanX, 6);
        if (result.covariance) {
          expect(result.covariance[3]).toBeCloseTo(1 / 17.5, 8);
          expect(result.covariance[1]).toBeCloseTo(-meanX / 17.5, 8);
        }
      }),
    );
  });

  it('follows the curved valley of Rosenbrock (Computer Journal 3, 1960) to its end', () => {
    const result = leastSquares(
      (p, r) => {
        r[0] = 10 * (p[1] - p[0] * p[0]);
        r[1] = 1 - p[0];
      },
      [-1.2, 1],
      2,
    );
    expect(['gradient', 'step', 'cost']).toContain(result.reason);
    expect(result.parameters[0]).toBeCloseTo(1, 9);
    expect(result.parameters[1]).toBeCloseTo(1, 9);
  });

  it('says that a parameter without influence has no covariance, and leaves it alone', () => {
    const result = leastSquares(
      (p, r) => {
        r[0] = p[0] - 2;
        r[1] = p[0] - 4;
      },
      [0, 7],
      2,
    );
    expect(result.parameters[0]).toBeCloseTo(3, 9);
    expect(result.parameters[1]).toBeCloseTo(7, 12);
    expect(result.covariance).toBeNull();
  });

  it('steps back from points that have no value, and refuses a start that has none', () => {
    const root = (p: Float64Array, r: Float64Array): void => {
      r[0] = Math.sqrt(p[0]) - 3;
    };
    expect(leastSquares(root, [100], 1).parameters[0]).toBeCloseTo(9, 6);
    expect(() => leastSquares(root, [-1], 1)).toThrow(RangeError);
    expect(() => leastSquares(root, [1, 2], 1)).toThrow(RangeError);
  });

  it('says when it ran out of iterations', () => {
    const result = leastSquares(
      (p, r) => {
        r[0] = 10 * (p[1] - p[0] * p[0]);
        r[1] = 1 - p[0];
      },
      [-1.2, 1],
      2,
      { limit: 3 },
    );
    expect(result.reason).toBe('limit');
  });
});
