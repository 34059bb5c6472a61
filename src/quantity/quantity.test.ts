import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  formatLike,
  formatQuantity,
  isPreferred,
  nearestPreferred,
  nextDown,
  nextUp,
  parseQuantity,
  preferredBetween,
  printQuantity,
  SERIES_NAMES,
  type Unit,
} from './index.ts';

function siOf(text: string | number, unit: Unit): number {
  const parsed = parseQuantity(text, unit);
  if (!parsed.ok) throw new Error(parsed.cause);
  return parsed.value;
}

function faultOf(text: string | number, unit: Unit): string {
  const parsed = parseQuantity(text, unit);
  return parsed.ok ? 'none' : `${parsed.fault}: ${parsed.cause}; ${parsed.remedy}`;
}

describe('reading a quantity', () => {
  it.each([
    ['4k7', 'Ω', 4700],
    ['4.7k', 'Ω', 4700],
    ['4.7 kΩ', 'Ω', 4700],
    ['680', 'Ω', 680],
    [680, 'Ω', 680],
    ['680 ohm', 'Ω', 680],
    ['R47', 'Ω', 0.47],
    ['47K', 'Ω', 47000],
    ['1M5', 'Ω', 1.5e6],
    ['10m', 'Ω', 0.01],
    ['2\u2126', 'Ω', 2],
    ['100n', 'F', 1e-7],
    ['2u2', 'F', 2.2e-6],
    ['2\u00b52', 'F', 2.2e-6],
    ['2\u03bc2', 'F', 2.2e-6],
    ['1000u', 'F', 1e-3],
    ['1 \u00b5F', 'F', 1e-6],
    ['1.8 V', 'V', 1.8],
    ['-6V', 'V', -6],
    ['\u22126 V', 'V', -6],
    ['50\u00a0mV', 'V', 0.05],
    ['0.45 ns', 's', 4.5e-10],
    ['10MHz', 'Hz', 1e7],
    ['1/4 W', 'W', 0.25],
    ['500 mW', 'W', 0.5],
    ['25 °C', 'temperature', 298.15],
    ['300K', 'temperature', 300],
    ['-40 °C', 'temperature', 233.15],
    ['5 %', 'share', 0.05],
    ['5%', 'share', 0.05],
    [0.05, 'share', 0.05],
    ['12 K/W', 'K/W', 12],
    ['102 dB', 'dB', 102],
    ['2e-14', 'A', 2e-14],
    ['20 fA', 'A', 2e-14],
    ['30 m', 'm', 30],
    ['100 pF/m', 'F/m', 1e-10],
  ] as [string | number, Unit, number][])('reads %s of unit %s as %d', (text, unit, value) => {
    expect(siOf(text, unit)).toBeCloseTo(value, 15 - Math.ceil(Math.log10(Math.abs(value))));
  });

  it('refuses a unit that does not fit and names the one that does', () => {
    expect(faultOf('39 V', 'Ω')).toMatch(/^wrong-unit: 39 V is in volts \(V\), but this takes ohms/);
    expect(faultOf('1 H', 'F')).toContain('farads (F)');
    expect(faultOf('47 K', 'Ω')).toMatch(/^wrong-unit/);
    expect(faultOf('10K', 'V')).toMatch(/^wrong-unit/);
    expect(faultOf('4R7', 'F')).not.toBe('none');
  });

  it('gives the two ways to write a value that has a decimal comma', () => {
    expect(faultOf('4,7k', 'Ω')).toContain('write 4k7 or 4.7k');
    expect(faultOf('2,2u', 'F')).toContain('write 2u2 or 2.2u');
    expect(faultOf('1,8 V', 'V')).toContain('write 1.8 V');
    expect(faultOf('6,8', 'Ω')).toContain('write 6R8 or 6.8');
  });

  it('asks for the percent sign on a bare number above one, and for the unit of a temperature', () => {
    expect(faultOf(50, 'share')).toContain('write 50 %');
    expect(faultOf('5', 'share')).toContain('write 5 %');
    expect(faultOf(25, 'temperature')).toContain('write 25 °C');
    expect(parseQuantity('25', 'temperature', { bareCelsius: true })).toMatchObject({ ok: true, value: 298.15 });
  });

  it('does not fold capitals: M is mega and m is milli, and a wrong capital is told', () => {
    expect(siOf('1M', 'Ω') / siOf('1m', 'Ω')).toBeCloseTo(1e9, 0);
    expect(faultOf('440 hz', 'Hz')).toContain('write 440 Hz');
    expect(faultOf('5 KHz', 'Hz')).toContain('write 5 kHz');
  });

  it('refuses what is not finite', () => {
    for (const text of ['1e999', Number.NaN, Number.POSITIVE_INFINITY]) expect(faultOf(text, 'V')).toMatch(/^too-large/);
  });

  it('never throws, whatever the text', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: 'binary', maxLength: 40 }),
        fc.constantFrom<Unit>('Ω', 'F', 'temperature', 'share', 'W', 'dB', 'number'),
        (text, unit) => {
          const parsed = parseQuantity(text, unit);
          expect(parsed.ok ? Number.isFinite(parsed.value) : parsed.cause.length > 0 && parsed.remedy.length > 0).toBe(true);
        },
      ),
      { seed: 1, numRuns: 3000 },
    );
  });
});

const UNITS_WITH_TEXT: Unit[] = ['Ω', 'V', 'A', 'F', 'H', 'Hz', 'W', 's', 'K/W', 'dB', 'temperature', 'share', 'number', 'm', 'F/m'];
const magnitudes = fc.tuple(fc.double({ min: 1, max: 10, noNaN: true }), fc.integer({ min: -20, max: 14 }), fc.boolean());

describe('printing a quantity', () => {
  it.each([
    [999.6, 'Ω', '1.00 kΩ'],
    [999.4, 'Ω', '999 Ω'],
    [1.8, 'V', '1.80 V'],
    [0.0079, 'A', '7.90 mA'],
    [2.2e-6, 'F', '2.20 \u00b5F'],
    [-0.04, 'V', '-40.0 mV'],
    [0, 'V', '0 V'],
    [99.96e-6, 's', '100 \u00b5s'],
    [0.00999, 'share', '0.999 %'],
    [298.15, 'temperature', '25.0 °C'],
    [398.15, 'temperature', '125 °C'],
    [85, '°C', '85.0 °C'],
    [240.4, 'number', '240'],
  ] as [number, Unit, string][])('prints %d of unit %s as %s', (value, unit, text) => {
    expect(formatQuantity(value, unit)).toBe(text);
  });

  it('uses the typographic minus and a no-break space in running text', () => {
    expect(printQuantity(-0.04, 'V')).toBe('\u221240.0\u00a0mV');
  });

  it('sets the minus of an exponent as it sets the sign', () => {
    expect(formatQuantity(-2e-7, 'number', { typographic: true })).toBe('\u22122.00e\u22127');
  });

  it('prints text that reads back to within its figures, plain and typographic', () => {
    fc.assert(
      fc.property(
        magnitudes,
        fc.constantFrom(...UNITS_WITH_TEXT),
        fc.boolean(),
        fc.boolean(),
        ([mantissa, exponent, negative], unit, typographic, trim) => {
          const size = mantissa * 10 ** exponent;
          const fixed =
            unit === 'temperature' || unit === 'dB' ? (size % 400) + (unit === 'dB' ? 0 : 1) : unit === 'share' ? size % 1 : size;
          const value = negative && unit !== 'temperature' && unit !== 'share' ? -fixed : fixed;
          const back = siOf(formatQuantity(value, unit, { typographic, trim }), unit);
          const step = unit === 'temperature' ? 0.51 : unit === 'dB' ? 0.051 : Math.abs(value) * 0.0051;
          expect(Math.abs(back - value)).toBeLessThanOrEqual(step);
        },
      ),
      { seed: 2, numRuns: 2000 },
    );
  });

  it('refuses to print what is not finite', () => {
    expect(() => formatQuantity(Number.NaN, 'V')).toThrow(RangeError);
  });
});

describe('writing a value back', () => {
  it.each([
    ['4k7', 3300, 'Ω', '3k3'],
    ['39k', 4700, 'Ω', '4k7'],
    ['39k', 47000, 'Ω', '47k'],
    ['4k7', 680, 'Ω', '680R'],
    ['47K', 5600, 'Ω', '5K6'],
    ['680', 1500, 'Ω', '1500'],
    ['4.7k', 3300, 'Ω', '3.3k'],
    ['4.7 kΩ', 150, 'Ω', '0.15 kΩ'],
    ['680 ohm', 1500, 'Ω', '1.5 kohm'],
    ['1u', 2.2e-6, 'F', '2u2'],
    ['1\u00b5', 2.2e-6, 'F', '2\u00b52'],
    ['1.8 V', 0.3, 'V', '0.3 V'],
    ['1.8V', 0.03, 'V', '30mV'],
    ['1/4 W', 0.5, 'W', '1/2 W'],
    ['1/4 W', 0.6, 'W', '0.6 W'],
    ['5 %', 0.025, 'share', '2.5 %'],
    ['0.05', 0.025, 'share', '0.025'],
    ['25 °C', 310.15, 'temperature', '37 °C'],
    ['300 K', 310, 'temperature', '310 K'],
    ['2e-14', 3e-14, 'A', '3e-14'],
  ] as [string, number, Unit, string][])('keeps the form of %s for %d %s', (original, value, unit, text) => {
    expect(formatLike(original, value, unit)).toBe(text);
  });

  it('writes text that reads back as the value to twelve figures', () => {
    const originals = fc.constantFrom<[string, Unit]>(
      ['4k7', 'Ω'],
      ['R33', 'Ω'],
      ['680', 'Ω'],
      ['4.7 kohm', 'Ω'],
      ['2u2', 'F'],
      ['100 pF', 'F'],
      ['1e-6', 'F'],
      ['12 V', 'V'],
      ['3 m', 'm'],
      ['50 mV', 'V'],
      ['440 Hz', 'Hz'],
      ['1/4 W', 'W'],
      ['nonsense', 'V'],
    );
    fc.assert(
      fc.property(originals, magnitudes, ([original, unit], [mantissa, exponent]) => {
        const value = mantissa * 10 ** exponent;
        const back = siOf(formatLike(original, value, unit), unit);
        expect(Math.abs(back / value - 1)).toBeLessThan(1e-11);
      }),
      { seed: 3, numRuns: 2000 },
    );
  });
});

describe('preferred values', () => {
  it('are neighbours of each other on every ladder, across decades', () => {
    fc.assert(
      fc.property(magnitudes, fc.constantFrom(...SERIES_NAMES), ([mantissa, exponent], series) => {
        const value = mantissa * 10 ** (exponent / 2);
        const up = nextUp(value, series);
        const down = nextDown(value, series);
        expect(down).toBeLessThan(value);
        expect(up).toBeGreaterThan(value);
        expect(nextDown(nextUp(up, series), series)).toBe(up);
        expect(isPreferred(nearestPreferred(value, series), series)).toBe(true);
        expect(nextUp(down, series)).toBeGreaterThanOrEqual(value * (1 - 1e-9)); // none is left out between
      }),
      { seed: 4, numRuns: 1000 },
    );
  });

  it('lists a range with both ends', () => {
    expect(preferredBetween(1000, 4700, 'E6')).toEqual([1000, 1500, 2200, 3300, 4700]);
    expect(() => nextUp(0, 'E24')).toThrow(RangeError);
  });
});
