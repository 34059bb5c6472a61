/**
 * The built-in classes: middling devices of their size, with figures of our own choosing that lie among the registered
 * types; no part of that name exists. Ratings are those of the most modest type of the size.
 */
import {
  activePoints,
  type BipolarEntry,
  CELSIUS_150,
  CELSIUS_175,
  type DiodeEntry,
  forwards,
  LARGE,
  SMALL,
  saturations,
} from './entry.ts';

const SOURCE = 'a class of Footroom: figures of our own choosing, among the registered types of its size';

export const CLASS_TRANSISTORS: BipolarEntry[] = [
  {
    kind: 'npn',
    name: 'small-signal',
    source: SOURCE,
    datasheet: {
      currentGain: activePoints(5, [
        [2e-3, 220],
        [1e-5, 130],
        [1e-4, 180],
        [1e-3, 215],
        [1e-2, 220],
        [0.05, 150],
        [0.1, 90],
      ]),
      gainRange: [110, 450],
      baseEmitterVoltage: activePoints(5, [
        [1e-4, 0.575],
        [2e-3, 0.655],
        [1e-2, 0.705],
      ]),
      saturationVoltage: saturations(20, [
        [1e-2, 0.085],
        [0.1, 0.25],
      ]),
      saturationBaseVoltage: saturations(20, [
        [1e-2, 0.725],
        [0.1, 0.87],
      ]),
      transitionFrequency: { collectorCurrent: 1e-2, collectorEmitterVoltage: 5, value: 250e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: 9e-12 }],
      collectorCapacitance: [{ reverseVoltage: 10, value: 2.5e-12 }],
      thermalResistance: 250,
      ratings: {
        collectorEmitterVoltage: 40,
        collectorBaseVoltage: 50,
        emitterBaseVoltage: 5,
        collectorCurrent: 0.1,
        dissipation: 0.5,
        junctionTemperature: CELSIUS_150,
      },
    },
    given: { ...SMALL, earlyVoltage: 80, emitterResistance: 0.3, emitterBreakdownVoltage: 7.5 },
  },
  {
    kind: 'pnp',
    name: 'small-signal',
    source: SOURCE,
    datasheet: {
      currentGain: activePoints(5, [
        [2e-3, 220],
        [1e-5, 150],
        [1e-4, 195],
        [1e-3, 220],
        [1e-2, 210],
        [0.05, 130],
        [0.1, 75],
      ]),
      gainRange: [110, 450],
      baseEmitterVoltage: activePoints(5, [
        [1e-4, 0.575],
        [2e-3, 0.655],
        [1e-2, 0.71],
      ]),
      saturationVoltage: saturations(20, [
        [1e-2, 0.09],
        [0.1, 0.28],
      ]),
      saturationBaseVoltage: saturations(20, [
        [1e-2, 0.73],
        [0.1, 0.88],
      ]),
      transitionFrequency: { collectorCurrent: 1e-2, collectorEmitterVoltage: 5, value: 180e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: 10e-12 }],
      collectorCapacitance: [{ reverseVoltage: 10, value: 3.5e-12 }],
      thermalResistance: 250,
      ratings: {
        collectorEmitterVoltage: 40,
        collectorBaseVoltage: 40,
        emitterBaseVoltage: 5,
        collectorCurrent: 0.1,
        dissipation: 0.5,
        junctionTemperature: CELSIUS_150,
      },
    },
    given: { ...SMALL, earlyVoltage: 45, emitterResistance: 0.3, emitterBreakdownVoltage: 7.5 },
  },
  ...(['npn', 'pnp'] as const).map(
    (kind): BipolarEntry => ({
      kind,
      name: 'medium-power',
      source: SOURCE,
      datasheet: {
        currentGain: activePoints(2, [
          [0.15, 120],
          [1e-3, 85],
          [0.01, 110],
          [0.5, 85],
          [1, 50],
        ]),
        gainRange: [63, 250],
        baseEmitterVoltage: activePoints(2, [
          [0.01, 0.64],
          [0.15, 0.74],
          [0.5, 0.83],
        ]),
        saturationVoltage: saturations(10, [
          [0.15, 0.1],
          [0.5, 0.22],
        ]),
        saturationBaseVoltage: saturations(10, [[0.5, 0.92]]),
        transitionFrequency: { collectorCurrent: 0.05, collectorEmitterVoltage: 5, value: kind === 'npn' ? 120e6 : 90e6 },
        emitterCapacitance: [{ reverseVoltage: 0.5, value: 80e-12 }],
        collectorCapacitance: [{ reverseVoltage: 10, value: kind === 'npn' ? 12e-12 : 18e-12 }],
        thermalResistance: 100,
        caseThermalResistance: 10,
        ratings: {
          collectorEmitterVoltage: 60,
          collectorBaseVoltage: 60,
          emitterBaseVoltage: 5,
          collectorCurrent: 1.5,
          dissipation: 12.5,
          junctionTemperature: CELSIUS_150,
        },
      },
      given: { ...LARGE, earlyVoltage: kind === 'npn' ? 100 : 70, emitterResistance: 0.05, emitterBreakdownVoltage: 7.5 },
    }),
  ),
  ...(['npn', 'pnp'] as const).map(
    (kind): BipolarEntry => ({
      kind,
      name: 'power',
      source: SOURCE,
      datasheet: {
        currentGain: activePoints(4, [
          [1, 75],
          [0.02, 58],
          [0.1, 70],
          [4, 38],
          [8, 21],
        ]),
        gainRange: [40, 160],
        baseEmitterVoltage: activePoints(4, [
          [0.1, 0.61],
          [1, 0.72],
          [4, 0.92],
        ]),
        saturationVoltage: saturations(10, [
          [1, 0.15],
          [4, 0.5],
        ]),
        saturationBaseVoltage: saturations(10, [[4, 1.05]]),
        transitionFrequency: { collectorCurrent: 0.5, collectorEmitterVoltage: 10, value: kind === 'npn' ? 4e6 : 3.5e6 },
        emitterCapacitance: [{ reverseVoltage: 0.5, value: 700e-12 }],
        collectorCapacitance: [{ reverseVoltage: 10, value: 180e-12 }],
        thermalResistance: 62.5,
        caseThermalResistance: 1.5,
        ratings: {
          collectorEmitterVoltage: 60,
          collectorBaseVoltage: 70,
          emitterBaseVoltage: 5,
          collectorCurrent: 10,
          dissipation: 83,
          junctionTemperature: CELSIUS_150,
          // Where second breakdown takes over from the dissipation: about half the rated voltage, common practice.
          secondBreakdown: [
            { volts: 30, amperes: 2.77 },
            { volts: 60, amperes: 0.7 },
          ],
        },
      },
      given: {
        ...LARGE,
        earlyVoltage: 80,
        emitterResistance: 0.02,
        emitterBreakdownVoltage: 8,
        reverseTransitTime: 3e-6,
        flickerCorner: 10e3,
      },
    }),
  ),
];

export const CLASS_DIODES: DiodeEntry[] = [
  {
    kind: 'diode',
    name: 'signal',
    source: SOURCE,
    datasheet: {
      forwardVoltage: forwards([
        [1e-4, 0.49],
        [1e-3, 0.6],
        [1e-2, 0.73],
        [0.1, 0.93],
      ]),
      capacitance: [{ reverseVoltage: 0, value: 2e-12 }],
      recoveryTime: { forwardCurrent: 0.01, reverseCurrent: 0.01, value: 5e-9 },
      breakdown: { current: 1e-4, value: 110 },
      thermalResistance: 350,
      ratings: { reverseVoltage: 75, current: 0.2, dissipation: 0.4, junctionTemperature: CELSIUS_175 },
    },
    given: {},
  },
  {
    kind: 'diode',
    name: 'rectifier',
    source: SOURCE,
    datasheet: {
      forwardVoltage: forwards([
        [1e-3, 0.53],
        [1e-2, 0.63],
        [0.1, 0.74],
        [1, 0.92],
      ]),
      capacitance: [{ reverseVoltage: 4, value: 15e-12 }],
      recoveryTime: { forwardCurrent: 0.5, reverseCurrent: 1, value: 2e-6 },
      breakdown: { current: 1e-4, value: 480 },
      thermalResistance: 75,
      ratings: { reverseVoltage: 400, current: 1, dissipation: 1.6, junctionTemperature: CELSIUS_150 },
    },
    given: {},
  },
  {
    kind: 'diode',
    name: 'led',
    source: `${SOURCE}; a red one`,
    datasheet: {
      forwardVoltage: forwards([
        [1e-4, 1.55],
        [1e-3, 1.66],
        [0.01, 1.83],
        [0.02, 1.93],
      ]),
      capacitance: [{ reverseVoltage: 0, value: 30e-12 }],
      thermalResistance: 400,
      ratings: { reverseVoltage: 5, current: 0.03, dissipation: 0.1, junctionTemperature: 398.15 },
    },
    // A wider gap than silicon's; chosen so that the voltage falls by about 1.5 mV/K.
    given: { bandgapVoltage: 2.05, saturationTemperatureExponent: 3, transitTime: 5e-9 },
  },
  {
    kind: 'diode',
    name: 'reference',
    source: `${SOURCE}; near 6 V, where the voltage hardly depends on temperature in a real part`,
    datasheet: {
      forwardVoltage: forwards([[1e-2, 0.76]]),
      breakdown: { current: 5e-3, value: 6.2 },
      capacitance: [{ reverseVoltage: 0, value: 150e-12 }],
      thermalResistance: 300,
      ratings: { current: 0.2, dissipation: 0.4, junctionTemperature: CELSIUS_150 },
    },
    given: { ideality: 1.2, seriesResistance: 5, transitTime: 1e-7 },
  },
];
