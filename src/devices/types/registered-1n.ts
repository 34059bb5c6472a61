/** JEDEC-registered diodes (1N): figures from memory throughout. */
import { CELSIUS_150, CELSIUS_200, type DiodeEntry, forwards, TYPICAL } from './entry.ts';

const SOURCE = 'limits of the JEDEC registration, from memory; curves typical, from memory, within 30 %; the band marks the cathode';

/** Least reverse voltages of the rectifier family, V. */
const RECTIFIERS: [string, number][] = [
  ['1N4001', 50],
  ['1N4002', 100],
  ['1N4003', 200],
  ['1N4004', 400],
  ['1N4005', 600],
  ['1N4006', 800],
  ['1N4007', 1000],
];

/** Breakdown voltage (V) at the test current (A), and slope resistance (ohm) there, of the one-watt family. */
const REFERENCES: [string, number, number, number][] = [
  ['1N4728A', 3.3, 0.076, 10],
  ['1N4729A', 3.6, 0.069, 10],
  ['1N4730A', 3.9, 0.064, 9],
  ['1N4731A', 4.3, 0.058, 9],
  ['1N4732A', 4.7, 0.053, 8],
  ['1N4733A', 5.1, 0.049, 7],
  ['1N4734A', 5.6, 0.045, 5],
  ['1N4735A', 6.2, 0.041, 2],
  ['1N4736A', 6.8, 0.037, 3.5],
  ['1N4737A', 7.5, 0.034, 4],
  ['1N4738A', 8.2, 0.031, 4.5],
  ['1N4739A', 9.1, 0.028, 5],
  ['1N4740A', 10, 0.025, 7],
  ['1N4741A', 11, 0.023, 8],
  ['1N4742A', 12, 0.021, 9],
  ['1N4743A', 13, 0.019, 10],
  ['1N4744A', 15, 0.017, 14],
];
/** Thermal voltage in ohm-amperes: what the breakdown itself adds to the slope resistance. */
const BREAKDOWN_SLOPE = 0.0257;

export const REGISTERED_1N: DiodeEntry[] = [
  ...(['1N4148', '1N914'] as const).map(
    (name): DiodeEntry => ({
      kind: 'diode',
      name,
      source: SOURCE,
      datasheet: {
        source: TYPICAL,
        forwardVoltage: forwards([
          [1e-4, 0.49],
          [1e-3, 0.6],
          [1e-2, 0.72],
          [0.1, 0.92],
        ]),
        capacitance: [{ reverseVoltage: 0, value: 2e-12 }],
        recoveryTime: { forwardCurrent: 0.01, reverseCurrent: 0.01, value: 5e-9 },
        breakdown: { current: 1e-4, value: 120 },
        thermalResistance: 350,
        ratings: { reverseVoltage: 75, current: 0.2, dissipation: 0.5, junctionTemperature: CELSIUS_200 },
      },
      given: {},
    }),
  ),
  ...RECTIFIERS.map(
    ([name, volts]): DiodeEntry => ({
      kind: 'diode',
      name,
      source: SOURCE,
      datasheet: {
        source: TYPICAL,
        forwardVoltage: forwards([
          [1e-3, 0.53],
          [1e-2, 0.63],
          [0.1, 0.74],
          [1, 0.92],
        ]),
        capacitance: [{ reverseVoltage: 4, value: 15e-12 }],
        recoveryTime: { forwardCurrent: 0.5, reverseCurrent: 1, value: 2e-6 },
        breakdown: { current: 1e-4, value: 1.2 * volts },
        thermalResistance: 75,
        ratings: { reverseVoltage: volts, current: 1, dissipation: 1.6, junctionTemperature: CELSIUS_150 },
      },
      given: {},
    }),
  ),
  ...(
    [
      ['1N5817', 20, [0.16, 0.22, 0.29, 0.4]],
      ['1N5819', 40, [0.19, 0.26, 0.33, 0.5]],
    ] as const
  ).map(
    ([name, volts, forward]): DiodeEntry => ({
      kind: 'diode',
      name,
      source: `${SOURCE}; a metal-semiconductor diode: its barrier stands for the band gap`,
      datasheet: {
        source: TYPICAL,
        forwardVoltage: forwards([
          [1e-3, forward[0]],
          [1e-2, forward[1]],
          [0.1, forward[2]],
          [1, forward[3]],
        ]),
        capacitance: [{ reverseVoltage: 4, value: 110e-12 }],
        breakdown: { current: 1e-3, value: 1.3 * volts },
        thermalResistance: 80,
        ratings: { reverseVoltage: volts, current: 1, dissipation: 1.2, junctionTemperature: 398.15 },
      },
      given: { bandgapVoltage: 0.69, saturationTemperatureExponent: 2 },
    }),
  ),
  ...REFERENCES.map(
    ([name, volts, current, slope]): DiodeEntry => ({
      kind: 'diode',
      name,
      source: `${SOURCE}; voltage and slope resistance at ${Math.round(current * 1000)} mA; the temperature drift of the breakdown is not modelled`,
      datasheet: {
        source: TYPICAL,
        forwardVoltage: forwards([[0.01, 0.7 + 0.01 * (slope - BREAKDOWN_SLOPE / current)]]),
        breakdown: { current, value: volts },
        capacitance: [{ reverseVoltage: 0, value: 1.2e-9 / volts }],
        thermalResistance: 150,
        ratings: { current: 1 / volts, dissipation: 1, junctionTemperature: CELSIUS_200 },
      },
      given: { ideality: 1.2, seriesResistance: slope - BREAKDOWN_SLOPE / current, transitTime: 1e-7 },
    }),
  ),
];
