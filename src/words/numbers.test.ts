import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PREFIX_POWERS, UNITS } from '../quantity/units.ts';
import { say, sayRange, saySize, split, type Unit } from './numbers.ts';

const NO_BREAK = '\u00a0';
const PREFIXED: Unit[] = ['V', 'A', 'Ω', 'F', 'H', 'Hz', 's', 'W', 'S'];

/** Reads a printed figure back, by the SI prefixes: a different way than the one that printed it. */
function readBack(text: string, unit: Unit): number {
  const [digits, printed] = text.split(NO_BREAK);
  const prefix = printed.slice(0, printed.length - UNITS[unit].symbol.length);
  return Number(digits.replace('\u2212', '-')) * 10 ** PREFIX_POWERS[prefix];
}

const magnitude = fc
  .tuple(fc.double({ min: 1, max: 9.999, noNaN: true }), fc.integer({ min: -9, max: 8 }), fc.boolean())
  .map(([m, e, minus]) => (minus ? -1 : 1) * m * 10 ** e);

describe('figures in prose', () => {
  it('say three significant figures that read back within half of the last one', () => {
    fc.assert(
      fc.property(magnitude, fc.constantFrom(...PREFIXED), (value, unit) => {
        const back = readBack(say(value, unit), unit);
        expect(Math.abs(back - value)).toBeLessThanOrEqual(Math.abs(value) * 0.00501 + (unit === 'V' ? 1.01e-9 : 0));
      }),
    );
  });

  it('never break between number and unit, and use the true minus', () => {
    fc.assert(
      fc.property(magnitude, fc.constantFrom(...PREFIXED), (value, unit) => {
        const said = say(value, unit);
        expect(said).not.toMatch(/[ -]/);
        expect(said.startsWith('\u2212')).toBe(value < 0 && !said.startsWith('0'));
      }),
    );
  });

  it('say the same digits in tables, with their zeros', () => {
    expect(say(0.0079, 'A')).toBe('7.9\u00a0mA');
    expect(split(0.0079, 'A', { zeros: 'keep' })).toEqual({ digits: '7.90', unit: 'mA' });
  });

  it('say tenths of a volt in volts, smaller ones with a prefix', () => {
    expect(say(-0.2517, 'V')).toBe('\u22120.252\u00a0V');
    expect(say(0.09996, 'V')).toBe('0.1\u00a0V');
    expect(say(0.0999, 'V')).toBe('99.9\u00a0mV');
    expect(say(0.9996, 'V')).toBe('1\u00a0V');
  });

  it('carry into the next prefix when rounding reaches it', () => {
    expect(say(999.6, 'Ω')).toBe('1\u00a0kΩ');
    expect(say(999.4, 'Ω')).toBe('999\u00a0Ω');
  });

  it('call what rounding leaves of a zero 0, and what is undefined a dash', () => {
    expect(say(-9.4e-16, 'V')).toBe('0\u00a0V');
    expect(say(null, 'Ω')).toBe('–');
    expect(say(Number.POSITIVE_INFINITY, 'Ω')).toBe('–');
  });

  it('use powers of ten for bare numbers only', () => {
    expect(say(4.12e-7, 'number')).toBe('4.12\u00a0×\u00a010⁻⁷');
    expect(say(-28.9, '°')).toBe('\u221228.9°');
    expect(say(0.5685, 'share')).toBe('56.9\u00a0%');
  });

  it('leave the direction to the words where they carry it', () => {
    expect(saySize(-0.2321, 'V')).toBe('0.232\u00a0V');
  });

  it('share the unit of the larger end in a range', () => {
    expect(sayRange(0.00107, 0.00231, 's')).toBe('1.07–2.31\u00a0ms');
    expect(sayRange(0.000939, 0.00206, 's')).toBe('0.939–2.06\u00a0ms');
    expect(sayRange(0, 0.00206, 's')).toBe('0–2.06\u00a0ms');
  });
});
