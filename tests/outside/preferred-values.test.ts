/**
 * Preferred values and value codes against the standards.
 * IEC 60063:2015, series E3 to E192; IEC 60062:2016, letter and digit code (the rows beyond R47, 4R7, 470R, 4K7, 47K,
 * 47K3, 470K, 4M7 are from memory).
 */
import { describe, expect, it } from 'vitest';
import { nearestPreferred, parseQuantity, type SeriesName, seriesValues } from '../../src/quantity/index.ts';

// E24 of IEC 60063 departs from the rounding of 10^(n/24) at these n.
const E24_EXCEPTIONS: Readonly<Record<number, number>> = { 10: 27, 11: 30, 12: 33, 13: 36, 14: 39, 15: 43, 16: 47, 22: 82 };

describe('IEC 60063 preferred values', () => {
  it('has E24 as 10^(n/24) in two figures, with the eight exceptions of the standard', () => {
    const rule = Array.from({ length: 24 }, (_, n) => E24_EXCEPTIONS[n] ?? Math.round(10 * 10 ** (n / 24)));
    expect(seriesValues('E24')).toEqual(rule);
  });

  it('has E192 as 10^(n/192) in three figures, with 920 as the only exception', () => {
    const rule = Array.from({ length: 192 }, (_, n) => (n === 185 ? 920 : Math.round(100 * 10 ** (n / 192))));
    expect(seriesValues('E192')).toEqual(rule);
  });

  it.each([
    ['E3', [10, 22, 47]],
    ['E6', [10, 15, 22, 33, 47, 68]],
    ['E12', [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]],
  ] as [SeriesName, number[]][])('has %s as the standard lists it', (series, values) => {
    expect(seriesValues(series)).toEqual(values);
  });

  it.each([
    ['E48', 48],
    ['E96', 96],
  ] as [SeriesName, number][])('has %s as 10^(n/N) in three figures without exception', (series, count) => {
    expect(seriesValues(series)).toEqual(Array.from({ length: count }, (_, n) => Math.round(100 * 10 ** (n / count))));
  });

  // Which value is nearest depends on the rule where the value lies between the two means of its neighbours.
  it.each([
    ['E24', 4.898, 5.1, 4.7],
    ['E24', 9.545, 10, 9.1],
    ['E12', 9.06, 10, 8.2],
    ['E96', 919, 909, 909],
    ['E192', 919, 920, 920],
  ] as [SeriesName, number, number, number][])(
    'in %s takes %d to its neighbour by ratio and by difference',
    (series, value, byRatio, byDifference) => {
      expect(nearestPreferred(value, series)).toBe(byRatio);
      expect(nearestPreferred(value, series, 'difference')).toBe(byDifference);
    },
  );
});

describe('IEC 60062 value codes', () => {
  const ohms: [string, number][] = [
    ['R10', 0.1],
    ['R33', 0.33],
    ['R332', 0.332],
    ['1R0', 1],
    ['3R32', 3.32],
    ['6R8', 6.8],
    ['10R', 10],
    ['33R2', 33.2],
    ['47R', 47],
    ['332R', 332],
    ['1K0', 1000],
    ['3K32', 3320],
    ['4K7', 4700],
    ['10K', 1e4],
    ['59K04', 59040],
    ['332K', 332e3],
    ['1M0', 1e6],
    ['2M2', 2.2e6],
    ['10M', 1e7],
    ['1G0', 1e9],
    ['1T0', 1e12],
    ['2K7', 2700],
    ['47K3', 47300],
    ['4k7', 4700],
  ];
  const farads: [string, number][] = [
    ['p10', 1e-13],
    ['p33', 3.3e-13],
    ['p332', 3.32e-13],
    ['1p0', 1e-12],
    ['3p32', 3.32e-12],
    ['6p8', 6.8e-12],
    ['10p', 1e-11],
    ['332p', 3.32e-10],
    ['1n0', 1e-9],
    ['4n7', 4.7e-9],
    ['10n', 1e-8],
    ['100n', 1e-7],
    ['332n', 3.32e-7],
    ['1u0', 1e-6],
    ['1\u00b50', 1e-6],
    ['2u2', 2.2e-6],
    ['2\u03bc2', 2.2e-6],
    ['10u', 1e-5],
    ['220u', 2.2e-4],
    ['1m0', 1e-3],
    ['4m7', 4.7e-3],
    ['10m', 1e-2],
    ['1F0', 1],
  ];
  it.each(ohms)('reads %s as a resistance', (code, value) => {
    expect(parseQuantity(code, 'Ω')).toMatchObject({ ok: true, value });
  });
  it.each(farads)('reads %s as a capacitance', (code, value) => {
    expect(parseQuantity(code, 'F')).toMatchObject({ ok: true, value });
  });
});
