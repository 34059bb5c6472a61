/**
 * Accuracy against fixed-point arithmetic of 256 bits (77 digits) computed here by series that share nothing with the
 * code under test. An ulp is the spacing of doubles at the true value.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { atan2, cos, exp, expm1, hypot, log, log1p, log10, pow, sin } from './elementary.ts';

const BITS = 256n;
const ONE = 1n << BITS;

/** An exact double as fixed point; bits below 2^-BITS are cut (only for numbers whose bits lie above). */
function fixed(x: number): bigint {
  let exponent = 0n;
  while (!Number.isInteger(x)) {
    x *= 2;
    exponent++;
  }
  const shift = BITS - exponent;
  return shift >= 0n ? BigInt(x) << shift : BigInt(x) >> -shift;
}
const times = (a: bigint, b: bigint): bigint => (a * b) >> BITS;
const over = (a: bigint, b: bigint): bigint => (a << BITS) / b;
const isNegligible = (a: bigint): boolean => a === 0n || a === -1n;

/** 2 artanh(y) = ln((1 + y)/(1 - y)). */
function twoArtanh(y: bigint): bigint {
  const square = times(y, y);
  let term = y;
  let sum = y;
  for (let n = 3n; !isNegligible(term); n += 2n) {
    term = times(term, square);
    sum += term / n;
  }
  return 2n * sum;
}
const LN2 = twoArtanh(ONE / 3n);
const LN10 = 3n * LN2 + twoArtanh(ONE / 9n);
/** pi by Machin's formula. */
const PI = ((): bigint => {
  const inverseTangent = (n: bigint): bigint => {
    let term = ONE / n;
    let sum = term;
    for (let i = 3n, sign = -1n; term !== 0n; i += 2n, sign = -sign) {
      term /= n * n;
      sum += (sign * term) / i;
    }
    return sum;
  };
  return 4n * (4n * inverseTangent(5n) - inverseTangent(239n));
})();

/** A true value: mantissa / 2^BITS times 2^exponent. */
interface Exact {
  mantissa: bigint;
  exponent: number;
}
function exactExp(x: bigint): Exact {
  const k = (2n * x + LN2) / (2n * LN2);
  const r = x - k * LN2;
  let term = ONE;
  let sum = ONE;
  for (let n = 1n; !isNegligible(term); n++) {
    term = times(term, r) / n;
    sum += term;
  }
  return { mantissa: sum, exponent: Number(k) };
}
/** ln of a positive double. */
function exactLog(x: number): bigint {
  let k = 0n;
  while (x >= 1.5) {
    x /= 2;
    k++;
  }
  while (x < 0.75) {
    x *= 2;
    k--;
  }
  const f = fixed(x);
  return k * LN2 + twoArtanh(over(f - ONE, f + ONE));
}
function exactSine(x: bigint): bigint {
  let r = x % (2n * PI);
  if (r > PI) r -= 2n * PI;
  if (r < -PI) r += 2n * PI;
  const square = times(r, r);
  let term = r;
  let sum = r;
  for (let n = 2n; !isNegligible(term); n += 2n) {
    term = -times(term, square) / (n * (n + 1n));
    sum += term;
  }
  return sum;
}

/** Distance of a computed double from a true value, in ulps. */
function ulps(computed: number, exact: Exact): number {
  const magnitude = exact.mantissa < 0n ? -exact.mantissa : exact.mantissa;
  const leading = magnitude.toString(2).length - 1 - Number(BITS) + exact.exponent;
  const ulpExponent = Math.max(leading - 52, -1074);
  // Everything in units of 2^(ulpExponent - 64).
  const shift = exact.exponent - Number(BITS) - (ulpExponent - 64);
  const target = shift >= 0 ? exact.mantissa << BigInt(shift) : exact.mantissa >> BigInt(-shift);
  let scaled = computed;
  let left = -ulpExponent;
  // In two steps where 2^left itself overflows.
  if (left > 1000) {
    scaled *= 2 ** 1000;
    left -= 1000;
  }
  scaled *= 2 ** left;
  const difference = BigInt(scaled) * (1n << 64n) - target;
  return Number(difference < 0n ? -difference : difference) / 2 ** 64;
}
const plain = (mantissa: bigint): Exact => ({ mantissa, exponent: 0 });

/** A fixed sequence of numbers from 0 to 1 (Lehmer's, modulus 2^31 - 1), so that what is measured is repeatable. */
function sequence(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

/** Greatest error over `count` arguments. */
function worst(count: number, seed: number, measure: (random: () => number) => number): number {
  const random = sequence(seed);
  let most = 0;
  for (let i = 0; i < count; i++) most = Math.max(most, measure(random));
  return most;
}
const measured: string[] = [];
function within(name: string, bound: number, error: number): void {
  measured.push(`${name} ${error.toFixed(3)}`);
  expect(error, name).toBeLessThanOrEqual(bound);
}

describe('elementary functions against 77-digit arithmetic', () => {
  it('keeps exp within 1 ulp from the least subnormal to overflow', () => {
    within(
      'exp, whole range',
      1,
      worst(3000, 1, (u) => {
        const x = -745 + 1454.7 * u();
        return ulps(exp(x), exactExp(fixed(x)));
      }),
    );
    within(
      'exp, near 0',
      1,
      worst(2000, 2, (u) => {
        const x = (u() - 0.5) * 2;
        return ulps(exp(x), exactExp(fixed(x)));
      }),
    );
  });

  it('keeps expm1 within 2 ulp', () => {
    within(
      'expm1',
      2,
      worst(3000, 3, (u) => {
        const x = (u() - 0.5) * 10 ** (2 - 6 * u());
        const { mantissa, exponent } = exactExp(fixed(x));
        const shifted = exponent >= 0 ? mantissa << BigInt(exponent) : mantissa >> BigInt(-exponent);
        return ulps(expm1(x), plain(shifted - ONE));
      }),
    );
  });

  it('keeps log, log10 and log1p within 1 ulp, subnormal arguments included', () => {
    within(
      'log, whole range',
      1,
      worst(1500, 4, (u) => {
        const x = 2 ** (-1074 + 2097 * u());
        return ulps(log(x), plain(exactLog(x)));
      }),
    );
    within(
      'log, near 1',
      1,
      worst(2000, 5, (u) => {
        const x = 0.5 + 1.5 * u();
        return ulps(log(x), plain(exactLog(x)));
      }),
    );
    within(
      'log10',
      1,
      worst(2000, 6, (u) => {
        const x = 10 ** (40 * (u() - 0.5));
        return ulps(log10(x), plain(over(exactLog(x), LN10)));
      }),
    );
    within(
      'log1p',
      1,
      worst(2000, 7, (u) => {
        const x = (u() * 1.9 - 0.95) * 10 ** (-6 * u());
        const f = fixed(x);
        return ulps(log1p(x), plain(twoArtanh(over(f, 2n * ONE + f))));
      }),
    );
  });

  it('keeps pow within 1 ulp, also where a small error of the logarithm would be magnified 700 times', () => {
    const error = (x: number, y: number): number => ulps(pow(x, y), exactExp(times(exactLog(x), fixed(y))));
    within(
      'pow, moderate',
      1,
      worst(1500, 8, (u) => error(2 ** (40 * (u() - 0.5)), 30 * (u() - 0.5))),
    );
    within(
      'pow, steep',
      1,
      worst(1500, 9, (u) => error(0.5 + 1.5 * u(), 1000 * (u() - 0.5))),
    );
    within(
      'pow, near 1',
      1,
      worst(1500, 10, (u) => error(1 + 2e-4 * (u() - 0.5), 1.3e7 * (u() - 0.5))),
    );
  });

  it('keeps sin and cos within 1 ulp, near multiples of pi too', () => {
    const halfPi = PI / 2n;
    const error = (x: number): number =>
      Math.max(ulps(sin(x), plain(exactSine(fixed(x)))), ulps(cos(x), plain(exactSine(fixed(x) + halfPi))));
    within(
      'sin and cos',
      1,
      worst(1500, 11, (u) => error(200 * (u() - 0.5))),
    );
    within(
      'sin and cos, to a million',
      1,
      worst(1000, 12, (u) => error(2e6 * (u() - 0.5))),
    );
    within(
      'sin and cos, to 1e15',
      1,
      worst(300, 13, (u) => error(2e15 * (u() - 0.5))),
    );
    within(
      'sin and cos, at multiples of pi/2',
      1,
      worst(300, 14, (u) => error(Math.round(1000 * u()) * (Math.PI / 2))),
    );
  });

  it('keeps atan2 within 2 ulp: its sine and cosine turn the point onto the axis', () => {
    within(
      'atan2',
      2,
      worst(1500, 15, (u) => {
        const x = 2 * (u() - 0.5);
        const y = 2 * (u() - 0.5);
        const angle = atan2(y, x);
        // tan(true - angle) = (y cos - x sin)/(x cos + y sin), and the difference is as good as its tangent.
        const s = exactSine(fixed(angle));
        const c = exactSine(fixed(angle) + PI / 2n);
        const cross = times(fixed(y), c) - times(fixed(x), s);
        const dot = times(fixed(x), c) + times(fixed(y), s);
        return ulps(angle, plain(fixed(angle) + over(cross, dot)));
      }),
    );
  });

  it('prints what it measured', () => {
    console.info(`greatest errors in ulp: ${measured.join('; ')}`);
    expect(measured.length).toBeGreaterThan(12);
  });
});

describe('special values', () => {
  it('gives the limits of exp and expm1', () => {
    expect(exp(0)).toBe(1);
    expect(exp(-0)).toBe(1);
    expect(exp(NaN)).toBeNaN();
    expect(exp(Infinity)).toBe(Infinity);
    expect(exp(-Infinity)).toBe(0);
    expect(exp(709.782712893384)).toBeLessThan(Infinity);
    for (const x of [709.782712893385, 710, 710.5, 711, 1e10, Number.MAX_VALUE]) expect(exp(x)).toBe(Infinity);
    expect(exp(-745.14)).toBe(0);
    expect(exp(-745.1)).toBe(Number.MIN_VALUE);
    expect(exp(-Number.MAX_VALUE)).toBe(0);
    expect(Object.is(expm1(-0), -0)).toBe(true);
    expect(expm1(-Infinity)).toBe(-1);
    expect(expm1(Infinity)).toBe(Infinity);
    expect(expm1(NaN)).toBeNaN();
    expect(expm1(1e-300)).toBe(1e-300);
  });

  it('gives the limits of the logarithms', () => {
    expect(Object.is(log(1), 0)).toBe(true);
    for (const f of [log, log10]) {
      expect(f(0)).toBe(-Infinity);
      expect(f(-0)).toBe(-Infinity);
      expect(f(-1)).toBeNaN();
      expect(f(-Infinity)).toBeNaN();
      expect(f(NaN)).toBeNaN();
      expect(f(Infinity)).toBe(Infinity);
    }
    expect(log1p(-1)).toBe(-Infinity);
    expect(log1p(-2)).toBeNaN();
    expect(log1p(Infinity)).toBe(Infinity);
    expect(Object.is(log1p(-0), -0)).toBe(true);
    for (let n = -300; n <= 300; n++) expect(log10(Number(`1e${n}`))).toBe(n);
  });

  it('follows IEEE 754 for pow', () => {
    expect(pow(2, 10)).toBe(1024);
    expect(pow(10, 3)).toBe(1000);
    expect(pow(-2, 3)).toBe(-8);
    expect(pow(-2, 4)).toBe(16);
    expect(pow(-2, 0.5)).toBeNaN();
    expect(pow(NaN, 0)).toBe(1);
    expect(pow(NaN, 1)).toBeNaN();
    expect(pow(2, NaN)).toBeNaN();
    expect(pow(0, 2)).toBe(0);
    expect(pow(0, -1)).toBe(Infinity);
    expect(Object.is(pow(-0, 3), -0)).toBe(true);
    expect(pow(-0, -3)).toBe(-Infinity);
    expect(pow(Infinity, -1)).toBe(0);
    expect(pow(-Infinity, 3)).toBe(-Infinity);
    expect(pow(2, Infinity)).toBe(Infinity);
    expect(pow(0.5, Infinity)).toBe(0);
    expect(pow(0.5, 1e305)).toBe(0);
    expect(pow(2, 1024)).toBe(Infinity);
    expect(pow(2, -1074)).toBe(Number.MIN_VALUE);
    expect(pow(2, -1080)).toBe(0);
    expect(pow(4, 0.5)).toBe(2);
  });

  it('gives signed zeros and right angles for atan2, and lengths without overflow', () => {
    expect(Object.is(atan2(0, 1), 0)).toBe(true);
    expect(Object.is(atan2(-0, 1), -0)).toBe(true);
    expect(atan2(0, -1)).toBe(Math.PI);
    expect(atan2(-0, -1)).toBe(-Math.PI);
    expect(atan2(1, 0)).toBe(Math.PI / 2);
    expect(atan2(-1, 0)).toBe(-Math.PI / 2);
    expect(atan2(1, 1)).toBe(Math.PI / 4);
    expect(atan2(Infinity, Infinity)).toBe(Math.PI / 4);
    expect(atan2(1, Infinity)).toBe(0);
    expect(atan2(NaN, 1)).toBeNaN();
    expect(atan2(1e-320, 2e-320)).toBeCloseTo(0.4636, 3);
    expect(hypot(3e200, 4e200)).toBeCloseTo(5e200, -187);
    expect(hypot(3e-200, 4e-200) / 5e-200).toBeCloseTo(1, 14);
    expect(hypot(0, -0)).toBe(0);
    expect(hypot(NaN, 0)).toBeNaN();
    expect(hypot(-Infinity, NaN)).toBe(Infinity);
    expect(sin(Infinity)).toBeNaN();
    expect(cos(NaN)).toBeNaN();
    expect(Object.is(sin(-0), -0)).toBe(true);
  });
});

describe('properties', () => {
  const next = (x: number): number => {
    const view = new DataView(new ArrayBuffer(8));
    view.setFloat64(0, x);
    view.setBigUint64(0, view.getBigUint64(0) + (x >= 0 ? 1n : -1n));
    return view.getFloat64(0);
  };

  it('never lets exp or log fall from one double to the next by more than their error', () => {
    fc.assert(
      fc.property(fc.double({ min: -700, max: 700, noNaN: true }), (x) => {
        expect(exp(next(x))).toBeGreaterThanOrEqual(exp(x) * (1 - 2 ** -52));
      }),
    );
    fc.assert(
      fc.property(fc.double({ min: 1e-300, max: 1e300, noNaN: true }), (x) => {
        expect(log(next(x))).toBeGreaterThanOrEqual(log(x) - Math.abs(log(x)) * 2 ** -52);
      }),
    );
  });

  it('has log undo exp, pow undo its inverse, and sine and cosine on the unit circle', () => {
    fc.assert(
      fc.property(fc.double({ min: -700, max: 700, noNaN: true }), (x) => {
        expect(Math.abs(log(exp(x)) - x)).toBeLessThanOrEqual(2 ** -52 * (2 + Math.abs(x)));
      }),
    );
    fc.assert(
      fc.property(fc.double({ min: 1e-3, max: 1e3, noNaN: true }), fc.double({ min: 0.2, max: 5, noNaN: true }), (x, y) => {
        expect(Math.abs(pow(pow(x, y), 1 / y) / x - 1)).toBeLessThan(2e-14);
      }),
    );
    fc.assert(
      fc.property(fc.double({ min: -1e300, max: 1e300, noNaN: true }), (x) => {
        expect(Math.abs(sin(x) ** 2 + cos(x) ** 2 - 1)).toBeLessThan(1e-15);
        expect(sin(-x)).toBe(-sin(x));
        expect(cos(-x)).toBe(cos(x));
      }),
    );
  });
});
