import { describe, expect, it } from 'vitest';
import { builtinDevice, builtinNames } from './builtin.ts';
import type { BipolarParameters, Polarity } from './parameters.ts';
import { BipolarPredictor } from './predict.ts';
import { fittedDiode, fittedTransistor } from './types/fit-entry.ts';
import { FITTED_DIODES, FITTED_TRANSISTORS } from './types/fitted.ts';
import { ENTRIES } from './types/index.ts';

function transistor(name: string, kind: Polarity): BipolarParameters {
  const device = builtinDevice(name, kind);
  if (device === null || device.kind === 'diode') throw new Error(`no ${kind} ${name}`);
  return device.parameters;
}

describe('built-in devices', () => {
  it('have every class of the sheet, for the kinds it has there', () => {
    for (const name of ['small-signal', 'medium-power', 'power']) {
      for (const kind of ['npn', 'pnp'] as const) expect(builtinDevice(name, kind)?.kind).toBe(kind);
      expect(builtinDevice(name, 'diode')).toBeNull();
    }
    for (const name of ['signal', 'rectifier', 'led', 'reference']) expect(builtinDevice(name, 'diode')?.kind).toBe('diode');
    expect(builtinDevice('2N3904', 'pnp')).toBeNull();
    expect(builtinDevice('no-such-device', 'npn')).toBeNull();
  });

  it('are listed once each, by kind or all together', () => {
    const all = builtinNames();
    expect(new Set(all).size).toBe(all.length);
    expect(builtinNames('npn').filter((name) => builtinDevice(name, 'npn') === null)).toEqual([]);
    expect(builtinNames('diode')).toContain('1N4148');
    expect(builtinNames('pnp')).not.toContain('2N3904');
    expect(new Set([...builtinNames('npn'), ...builtinNames('pnp'), ...builtinNames('diode')])).toEqual(new Set(all));
  });

  it('are one object each, so that a sheet read anew need not make them anew', () => {
    expect(builtinDevice('2N3904', 'npn')).toBe(builtinDevice('2N3904', 'npn'));
  });

  it('carry the parameters that a fit of their figures gives now (else run tools/fit-devices.mjs)', () => {
    // The same figures give the same fit: groups of one chip differ only in limits, so fit each set once.
    const seen = new Map<string, unknown>();
    for (const entry of ENTRIES) {
      const key = JSON.stringify([entry.kind, { ...entry.datasheet, ratings: 0, gainRange: 0 }, entry.given]);
      const fresh = seen.get(key) ?? (entry.kind === 'diode' ? fittedDiode(entry) : fittedTransistor(entry));
      seen.set(key, fresh);
      const stored = entry.kind === 'diode' ? FITTED_DIODES[entry.name] : FITTED_TRANSISTORS[`${entry.kind} ${entry.name}`];
      expect(stored, `${entry.kind} ${entry.name}`).toEqual(fresh);
    }
  });

  it('meet every figure they were fitted from within 30 % (of a gain, a time, a capacitance) or 60 mV', () => {
    for (const { name, kind } of ENTRIES) {
      const points = builtinDevice(name, kind)?.provenance?.points ?? [];
      expect(points.length, name).toBeGreaterThan(0);
      for (const point of points) {
        const off = Math.abs(point.met - point.wanted);
        expect(off, `${name} ${point.quantity} at ${point.at}: ${point.met}`).toBeLessThan(point.unit === 'V' ? 0.06 : 0.3 * point.wanted);
      }
    }
  });

  it('say where their figures are from, and have ranges around their own values', () => {
    for (const { name, kind } of ENTRIES) {
      const device = builtinDevice(name, kind);
      expect(device?.provenance?.source.length, name).toBeGreaterThan(20);
      const p = device?.parameters;
      expect(p?.saturationCurrentRange?.[0]).toBeLessThan(p?.saturationCurrent ?? 0);
      expect(p?.saturationCurrentRange?.[1]).toBeGreaterThan(p?.saturationCurrent ?? Infinity);
      if (device === null || device.kind === 'diode') continue;
      expect(device.parameters.betaRange?.[0], name).toBeLessThan(device.parameters.forwardBeta);
      expect(device.parameters.betaRange?.[1], name).toBeGreaterThan(device.parameters.forwardBeta);
    }
  });
});

describe('gains of registered types', () => {
  // Registered least (and greatest) h_FE: checks page, section L: facts of the registrations.
  const limits: [string, Polarity, volts: number, amperes: number, least: number, greatest?: number][] = [
    ['2N3904', 'npn', 1, 1e-4, 40],
    ['2N3904', 'npn', 1, 1e-3, 70],
    ['2N3904', 'npn', 1, 1e-2, 100, 300],
    ['2N3904', 'npn', 1, 0.05, 60],
    ['2N3904', 'npn', 1, 0.1, 30],
    ['2N3906', 'pnp', 1, 1e-4, 60],
    ['2N3906', 'pnp', 1, 1e-3, 80],
    ['2N3906', 'pnp', 1, 1e-2, 100, 300],
    ['2N3906', 'pnp', 1, 0.05, 60],
    ['2N3906', 'pnp', 1, 0.1, 30],
    ['2N2222A', 'npn', 10, 1e-4, 50],
    ['2N2222A', 'npn', 10, 1e-3, 75, 325],
    ['2N2222A', 'npn', 10, 1e-2, 100],
    ['2N2222A', 'npn', 10, 0.15, 100, 300],
    ['2N2222A', 'npn', 10, 0.5, 40],
    ['2N2219A', 'npn', 10, 0.15, 100, 300],
    ['2N2907A', 'pnp', 10, 1e-4, 75],
    ['2N2907A', 'pnp', 10, 1e-3, 100],
    ['2N2907A', 'pnp', 10, 1e-2, 100],
    ['2N2907A', 'pnp', 10, 0.15, 100, 300],
    ['2N2907A', 'pnp', 10, 0.5, 50],
    ['2N4401', 'npn', 1, 1e-4, 20],
    ['2N4401', 'npn', 1, 1e-3, 40],
    ['2N4401', 'npn', 1, 1e-2, 80],
    ['2N4401', 'npn', 1, 0.15, 100, 300],
    ['2N4401', 'npn', 2, 0.5, 40],
    ['2N4403', 'pnp', 1, 1e-4, 30],
    ['2N4403', 'pnp', 1, 1e-3, 60],
    ['2N4403', 'pnp', 1, 1e-2, 100],
    ['2N4403', 'pnp', 2, 0.15, 100, 300],
    ['2N4403', 'pnp', 2, 0.5, 20],
    ['2N3055', 'npn', 4, 4, 20, 70],
    ['2N3055', 'npn', 4, 10, 5],
    ['BC547A', 'npn', 5, 2e-3, 110, 220],
    ['BC547B', 'npn', 5, 2e-3, 200, 450],
    ['BC547C', 'npn', 5, 2e-3, 420, 800],
    ['BC557', 'pnp', 5, 2e-3, 110, 800],
    ['BD139', 'npn', 2, 5e-3, 25],
    ['BD139', 'npn', 2, 0.15, 40, 250],
    ['BD139', 'npn', 2, 0.5, 25],
    ['BD140-16', 'pnp', 2, 0.15, 100, 250],
    ['BD135-6', 'npn', 2, 0.15, 40, 100],
  ];
  it.each(limits)('keeps %s %s at %d V and %d A above %d', (name, kind, volts, amperes, least, greatest) => {
    const { gain } = new BipolarPredictor(transistor(name, kind)).active(amperes, volts);
    expect(gain).toBeGreaterThan(least);
    expect(gain).toBeLessThan(greatest ?? Infinity);
  });

  it('keeps transition frequencies above the registered least', () => {
    // Section L; of the 2N3055 the later figure.
    const least: [string, Polarity, volts: number, amperes: number, hertz: number][] = [
      ['2N3904', 'npn', 20, 0.01, 300e6],
      ['2N3906', 'pnp', 20, 0.01, 250e6],
      ['2N2222A', 'npn', 20, 0.02, 300e6],
      ['2N2907A', 'pnp', 20, 0.05, 200e6],
      ['2N4401', 'npn', 10, 0.02, 250e6],
      ['2N4403', 'pnp', 10, 0.02, 200e6],
      ['2N3055', 'npn', 10, 0.5, 2.5e6],
      ['BC547', 'npn', 5, 0.01, 150e6],
    ];
    for (const [name, kind, volts, amperes, hertz] of least) {
      expect(new BipolarPredictor(transistor(name, kind)).transitionFrequency(amperes, volts), name).toBeGreaterThanOrEqual(hertz);
    }
  });
});
