/** Self-heating: section G of the outside checks, as sheets. */
import { describe, expect, it } from 'vitest';
import {
  BOLTZMANN_OVER_CHARGE,
  close,
  INFINITE_BETA,
  ideal,
  junctionVoltage,
  outside,
  quiescent,
  type SheetObject,
  THERMAL_VOLTAGE,
  transistor,
  tryAsk,
} from './support.ts';

const SATURATION = 1e-14;

describe('junction temperature', () => {
  // Source: JEDEC JESD51-1 and JESD51-2A.
  it('G1: 0.35 W on 200 K/W in 40 °C air makes 110 °C', () => {
    // A transistor at 35 mA whose collector follows its base 10 V less V_BE higher: V_CE = 10 V exactly, by a source
    // from its collector to the supply would carry the current too, so the supply is set from the answer's own V_BE.
    const at = (supply: number): ReturnType<typeof transistor> =>
      transistor(
        quiescent({
          ambient: '40 °C',
          supplies: { vcc: supply, vee: -5 },
          devices: { q: { npn: ideal(SATURATION, INFINITE_BETA, { thermalResistance: 200 }) } },
          parts: { Q1: { npn: 'q', collector: 'vcc', base: 'gnd', emitter: 'e' }, I1: { current: 0.035, from: 'e', to: 'vee' } },
        }),
        'Q1',
      );
    let supply = 10;
    for (let round = 0; round < 6; round++) supply = 10 - at(supply).baseEmitterVoltage;
    const q = at(supply);
    close(q.dissipation, 0.35, 1e-7, 0, 'dissipation');
    close(q.junctionTemperature, outside('G1', 'T_J'), 1e-7, 0, 'T_J');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. (temperature law of I_S), from memory; -2 mV/K is common practice.
  it('G4: V_BE at constant current falls from 0.65 V at 25 °C to 0.5589 V at 75 °C, by 1.80 mV/K at first', () => {
    const current = 1e-3;
    const at = (ambient: string): number =>
      transistor(
        quiescent({
          ambient,
          supplies: { vcc: 5, vee: -5 },
          devices: {
            q: {
              npn: ideal(current / Math.exp(0.65 / THERMAL_VOLTAGE), INFINITE_BETA, {
                bandgapVoltage: 1.11,
                saturationTemperatureExponent: 3,
              }),
            },
          },
          parts: { Q1: { npn: 'q', collector: 'vcc', base: 'gnd', emitter: 'e' }, I1: { current, from: 'e', to: 'vee' } },
        }),
        'Q1',
      ).baseEmitterVoltage;
    close(at('25 °C'), 0.65, 1e-9, 0, 'V_BE at 25 °C');
    close(at('348.15 K'), outside('G4', 'V_BE at 348.15 K'), 1e-8, 0, 'V_BE at 75 °C');
    // A central difference over 0.2 K: the curvature it leaves is below 1e-9 of the slope, rounding 1e-9.
    close((at('298.25 K') - at('298.05 K')) / 0.2, outside('G4', 'slope at 298.15 K'), 1e-6, 0, 'slope');
    const hot = at('348.15 K');
    const ratio = Math.exp((0.65 / 298.15 - hot / 348.15) / BOLTZMANN_OVER_CHARGE);
    close(ratio, outside('G4', 'I_S ratio 348.15 K to 298.15 K'), 1e-6, 0, 'growth of I_S');
  });
});

describe('thermal feedback at fixed bias', () => {
  const VOLTS = 15;
  const HEAT = 200;
  const STANDING = 0.008;

  // Source: loop-gain argument, textbook-standard; V_CE < V_CC/2: Millman & Halkias, Integrated Electronics, from memory.
  it('G5: 3.088 ohm is the edge: above it 8 mA with a 25 °C junction is where the stage stays, below it is not', () => {
    const edge = outside('G5', 'R_E on the edge');
    const base = junctionVoltage(STANDING, SATURATION);
    // dV_BE/dT = -2.1 mV/K at this point: the bandgap voltage that gives it with gamma = 3 (slope of G4).
    const bandgap = base - 3 * THERMAL_VOLTAGE + 2.1e-3 * 298.15;
    const settle = (emitterOhms: number): ReturnType<typeof transistor> =>
      transistor(
        quiescent({
          // 24 K below 25 °C: at 8 mA and 15 V the junction is at 25 °C.
          ambient: `${298.15 - VOLTS * STANDING * HEAT} K`,
          supplies: { vcc: VOLTS + STANDING * emitterOhms, vb: base + STANDING * emitterOhms },
          devices: {
            q: {
              npn: ideal(SATURATION, INFINITE_BETA, { bandgapVoltage: bandgap, saturationTemperatureExponent: 3, thermalResistance: HEAT }),
            },
          },
          parts: { Q1: { npn: 'q', collector: 'vcc', base: 'vb', emitter: 'e' }, RE: { resistor: emitterOhms, from: 'e', to: 'gnd' } },
        }),
        'Q1',
      );
    for (const share of [1.02, 1.3]) {
      const q = settle(share * edge);
      close(q.collectorCurrent, STANDING, 1e-5, 0, `current at ${share} of the edge`);
      close(q.junctionTemperature, 25, 0, 1e-3, 'junction');
    }
    // Below the edge the same point has a loop gain above 1, so a cooler solution exists, and of several the coolest is told.
    for (const share of [0.97, 0.7]) {
      const q = settle(share * edge);
      expect(q.collectorCurrent).toBeLessThan(STANDING * 0.999);
      expect(q.junctionTemperature).toBeLessThan(24.97);
    }
  });

  const heated = (emitterOhms: number, collector: number): Partial<SheetObject> => ({
    supplies: { vcc: VOLTS + collector * emitterOhms, vb: junctionVoltage(STANDING, SATURATION) + STANDING * emitterOhms },
    devices: {
      q: { npn: ideal(SATURATION, INFINITE_BETA, { bandgapVoltage: 1.11, saturationTemperatureExponent: 3, thermalResistance: HEAT }) },
    },
    parts: {
      Q1: { npn: 'q', collector: 'vcc', base: 'vb', emitter: emitterOhms === 0 ? 'gnd' : 'e' },
      ...(emitterOhms === 0 ? {} : { RE: { resistor: emitterOhms, from: 'e', to: 'gnd' } }),
    },
  });
  // Source: derived.
  it('G6: biased for 8 mA cold, the stage warms up to 12.96 mA on 10 ohm and 9.93 mA on 22 ohm', () => {
    for (const ohms of [10, 22]) {
      const current = outside('G6', `I, R_E=${ohms}`);
      const answer = quiescent(heated(ohms, current));
      const q = transistor(answer, 'Q1');
      close(q.collectorCurrent, current, 1e-6, 0, `current, R_E = ${ohms}`);
      close(q.junctionTemperature, outside('G6', `T_J, R_E=${ohms}`), 1e-6, 0, `T_J, R_E = ${ohms}`);
      close(transistor(quiescent(heated(ohms, current), { isothermal: true }), 'Q1').collectorCurrent, STANDING, 1e-8, 0, 'cold');
    }
  });
  it('G6: without an emitter resistor there is no such point: it runs away', () => {
    const answer = tryAsk('quiescent', heated(0, 0));
    expect('failure' in answer ? answer.failure.kind : 'answered').toBe('runs-away');
  });
});
