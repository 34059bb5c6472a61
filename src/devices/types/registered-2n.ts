/**
 * JEDEC-registered transistors (2N). Limits and least activePoints are facts of the registrations, as two or more independent
 * public pages give them; typical points are from memory.
 */
import type { BipolarRatings } from '../parameters.ts';
import { activePoints, type BipolarEntry, CELSIUS_150, CELSIUS_200, LARGE, SMALL, saturations, TYPICAL } from './entry.ts';

const SOURCE = 'limits of the JEDEC registration; curves typical, from memory, within 30 %';

function ratings(
  ceo: number,
  cbo: number,
  ebo: number,
  collectorCurrent: number,
  dissipation: number,
  junctionTemperature: number,
): BipolarRatings {
  return {
    collectorEmitterVoltage: ceo,
    collectorBaseVoltage: cbo,
    emitterBaseVoltage: ebo,
    collectorCurrent,
    dissipation,
    junctionTemperature,
  };
}

export const REGISTERED_2N: BipolarEntry[] = [
  {
    kind: 'npn',
    name: '2N3904',
    source: `${SOURCE}; plastic case, leads emitter, base, collector from the left, flat side towards you`,
    datasheet: {
      source: TYPICAL,
      currentGain: activePoints(1, [
        [0.01, 175],
        [1e-4, 120],
        [1e-3, 160],
        [0.05, 120],
        [0.1, 62],
      ]),
      gainRange: [100, 300],
      baseEmitterVoltage: activePoints(1, [
        [1e-3, 0.65],
        [0.01, 0.72],
      ]),
      saturationVoltage: saturations(10, [
        [0.01, 0.07],
        [0.05, 0.13],
      ]),
      saturationBaseVoltage: saturations(10, [
        [0.01, 0.75],
        [0.05, 0.86],
      ]),
      transitionFrequency: { collectorCurrent: 0.01, collectorEmitterVoltage: 20, value: 350e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: 5e-12 }],
      collectorCapacitance: [{ reverseVoltage: 5, value: 2.5e-12 }],
      thermalResistance: 200,
      caseThermalResistance: 83.3,
      ratings: ratings(40, 60, 6, 0.2, 0.625, CELSIUS_150),
    },
    given: { ...SMALL, earlyVoltage: 90, emitterResistance: 0.2, emitterBreakdownVoltage: 7.5 },
  },
  {
    kind: 'pnp',
    name: '2N3906',
    source: `${SOURCE}; plastic case, leads emitter, base, collector from the left, flat side towards you`,
    datasheet: {
      source: TYPICAL,
      currentGain: activePoints(1, [
        [0.01, 180],
        [1e-4, 145],
        [1e-3, 175],
        [0.05, 115],
        [0.1, 60],
      ]),
      gainRange: [100, 300],
      baseEmitterVoltage: activePoints(1, [
        [1e-3, 0.65],
        [0.01, 0.73],
      ]),
      saturationVoltage: saturations(10, [
        [0.01, 0.08],
        [0.05, 0.16],
      ]),
      saturationBaseVoltage: saturations(10, [
        [0.01, 0.76],
        [0.05, 0.87],
      ]),
      transitionFrequency: { collectorCurrent: 0.01, collectorEmitterVoltage: 20, value: 300e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: 6e-12 }],
      collectorCapacitance: [{ reverseVoltage: 5, value: 3e-12 }],
      thermalResistance: 200,
      caseThermalResistance: 83.3,
      ratings: ratings(40, 40, 5, 0.2, 0.625, CELSIUS_150),
    },
    given: { ...SMALL, earlyVoltage: 40, emitterResistance: 0.3, emitterBreakdownVoltage: 7 },
  },
  {
    kind: 'npn',
    name: '2N2222A',
    source: `${SOURCE}; metal case`,
    datasheet: { ...switching(), thermalResistance: 325, ratings: ratings(40, 75, 6, 0.8, 0.5, CELSIUS_200) },
    given: { ...SMALL, earlyVoltage: 90, emitterResistance: 0.05, emitterBreakdownVoltage: 7.5 },
  },
  {
    kind: 'npn',
    name: '2N2219A',
    source: `${SOURCE}; larger metal case: 3 W holds for the case kept at 25 °C, 0.8 W in free air follows from the thermal resistance`,
    datasheet: { ...switching(), thermalResistance: 217, caseThermalResistance: 58.3, ratings: ratings(40, 75, 6, 0.8, 3, CELSIUS_200) },
    given: { ...SMALL, earlyVoltage: 90, emitterResistance: 0.05, emitterBreakdownVoltage: 7.5 },
  },
  {
    kind: 'pnp',
    name: '2N2907A',
    source: `${SOURCE}; metal case`,
    datasheet: {
      source: TYPICAL,
      currentGain: activePoints(10, [
        [0.15, 180],
        [1e-4, 140],
        [1e-3, 180],
        [0.01, 205],
        [0.5, 90],
      ]),
      gainRange: [100, 300],
      baseEmitterVoltage: activePoints(10, [
        [1e-3, 0.61],
        [0.01, 0.68],
      ]),
      saturationVoltage: saturations(10, [
        [0.15, 0.18],
        [0.5, 0.5],
      ]),
      saturationBaseVoltage: saturations(10, [
        [0.15, 0.9],
        [0.5, 1.1],
      ]),
      transitionFrequency: { collectorCurrent: 0.05, collectorEmitterVoltage: 20, value: 250e6 },
      emitterCapacitance: [{ reverseVoltage: 2, value: 15e-12 }],
      collectorCapacitance: [{ reverseVoltage: 10, value: 5.5e-12 }],
      thermalResistance: 438,
      ratings: ratings(60, 60, 5, 0.6, 0.4, CELSIUS_200),
    },
    given: { ...SMALL, earlyVoltage: 70, emitterResistance: 0.05, emitterBreakdownVoltage: 7 },
  },
  {
    kind: 'npn',
    name: '2N4401',
    source: `${SOURCE}; plastic case, leads emitter, base, collector from the left, flat side towards you`,
    datasheet: {
      source: TYPICAL,
      currentGain: [
        ...activePoints(1, [
          [0.15, 155],
          [1e-4, 75],
          [1e-3, 115],
          [0.01, 155],
        ]),
        ...activePoints(2, [[0.5, 75]]),
      ],
      gainRange: [100, 300],
      baseEmitterVoltage: activePoints(1, [
        [1e-3, 0.61],
        [0.01, 0.68],
      ]),
      saturationVoltage: saturations(10, [
        [0.15, 0.17],
        [0.5, 0.42],
      ]),
      saturationBaseVoltage: saturations(10, [
        [0.15, 0.88],
        [0.5, 1.02],
      ]),
      transitionFrequency: { collectorCurrent: 0.02, collectorEmitterVoltage: 10, value: 300e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: 20e-12 }],
      collectorCapacitance: [{ reverseVoltage: 5, value: 5e-12 }],
      thermalResistance: 200,
      caseThermalResistance: 83.3,
      ratings: ratings(40, 60, 6, 0.6, 0.625, CELSIUS_150),
    },
    given: { ...SMALL, earlyVoltage: 90, emitterResistance: 0.05, emitterBreakdownVoltage: 7.5 },
  },
  {
    kind: 'pnp',
    name: '2N4403',
    source: `${SOURCE}; plastic case, leads emitter, base, collector from the left, flat side towards you`,
    datasheet: {
      source: TYPICAL,
      currentGain: [
        ...activePoints(2, [
          [0.15, 160],
          [0.5, 70],
        ]),
        ...activePoints(1, [
          [1e-4, 90],
          [1e-3, 140],
          [0.01, 175],
        ]),
      ],
      gainRange: [100, 300],
      baseEmitterVoltage: activePoints(1, [
        [1e-3, 0.61],
        [0.01, 0.68],
      ]),
      saturationVoltage: saturations(10, [
        [0.15, 0.2],
        [0.5, 0.48],
      ]),
      saturationBaseVoltage: saturations(10, [
        [0.15, 0.88],
        [0.5, 1.05],
      ]),
      transitionFrequency: { collectorCurrent: 0.02, collectorEmitterVoltage: 10, value: 250e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: 22e-12 }],
      collectorCapacitance: [{ reverseVoltage: 10, value: 6e-12 }],
      thermalResistance: 200,
      caseThermalResistance: 83.3,
      ratings: ratings(40, 40, 5, 0.6, 0.625, CELSIUS_150),
    },
    given: { ...SMALL, earlyVoltage: 60, emitterResistance: 0.05, emitterBreakdownVoltage: 7 },
  },
  {
    kind: 'npn',
    name: '2N3055',
    source: `${SOURCE}; large metal case, which is the collector; 40 K/W in free air without a heat sink is common practice, no source`,
    datasheet: {
      source: TYPICAL,
      currentGain: activePoints(4, [
        [4, 38],
        [0.1, 62],
        [0.5, 72],
        [1, 68],
        [10, 14],
      ]),
      gainRange: [20, 70],
      baseEmitterVoltage: activePoints(4, [
        [0.1, 0.62],
        [1, 0.75],
        [4, 0.95],
      ]),
      saturationVoltage: saturations(10, [[4, 0.45]]),
      saturationBaseVoltage: saturations(10, [[4, 1.05]]),
      transitionFrequency: { collectorCurrent: 0.5, collectorEmitterVoltage: 10, value: 2.8e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: 900e-12 }],
      collectorCapacitance: [{ reverseVoltage: 10, value: 250e-12 }],
      thermalResistance: 40,
      caseThermalResistance: 1.52,
      ratings: {
        ...ratings(60, 100, 7, 15, 115, CELSIUS_200),
        // The registered 2.87 A at 40 V for one second, from memory; the fall beyond it is common practice.
        secondBreakdown: [
          { volts: 40, amperes: 2.87 },
          { volts: 60, amperes: 0.95 },
        ],
      },
    },
    given: {
      ...LARGE,
      earlyVoltage: 80,
      emitterResistance: 0.02,
      emitterBreakdownVoltage: 9,
      reverseTransitTime: 3e-6,
      flickerCorner: 10e3,
    },
  },
];

/** The chip that 2N2222A and 2N2219A share. */
function switching(): BipolarEntry['datasheet'] {
  return {
    source: TYPICAL,
    currentGain: activePoints(10, [
      [0.15, 170],
      [1e-4, 100],
      [1e-3, 150],
      [0.01, 190],
      [0.5, 85],
    ]),
    gainRange: [100, 300],
    baseEmitterVoltage: activePoints(10, [
      [1e-3, 0.6],
      [0.01, 0.67],
    ]),
    saturationVoltage: saturations(10, [
      [0.15, 0.15],
      [0.5, 0.4],
    ]),
    saturationBaseVoltage: saturations(10, [
      [0.15, 0.87],
      [0.5, 1.05],
    ]),
    transitionFrequency: { collectorCurrent: 0.02, collectorEmitterVoltage: 20, value: 330e6 },
    emitterCapacitance: [{ reverseVoltage: 0.5, value: 18e-12 }],
    collectorCapacitance: [{ reverseVoltage: 10, value: 5e-12 }],
  };
}
