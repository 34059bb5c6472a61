/**
 * Pro Electron transistors BD135 to BD140 with their gain groups -6, -10, -16. Limits and groups are facts of the
 * registrations, as two or more independent public pages give them; typical points are from memory.
 */
import { activePoints, type BipolarEntry, CELSIUS_150, LARGE, saturations, TYPICAL } from './entry.ts';

const LIMITS: [npn: string, pnp: string, volts: number][] = [
  ['BD135', 'BD136', 45],
  ['BD137', 'BD138', 60],
  ['BD139', 'BD140', 80],
];

/** Gain by group at 150 mA and 2 V: least, typical, greatest. */
const GROUPS: [group: string, least: number, typical: number, greatest: number][] = [
  ['', 40, 110, 250],
  ['-6', 40, 70, 100],
  ['-10', 63, 105, 160],
  ['-16', 100, 160, 250],
];

const SOURCE =
  'limits and gain groups of the Pro Electron registration; curves typical, from memory, within 30 %, transition frequency and capacitances differ more between makers; flat plastic case, leads emitter, collector, base from the left, print towards you; 12.5 W holds for the case kept at 25 °C, 1.25 W in free air follows from the thermal resistance';

export const REGISTERED_BD: BipolarEntry[] = LIMITS.flatMap(([npn, pnp, volts]) =>
  GROUPS.flatMap(([group, least, typical, greatest]) =>
    (['npn', 'pnp'] as const).map((kind): BipolarEntry => {
      const isNpn = kind === 'npn';
      const shape: [number, number][] = [
        [0.15, 1],
        [0.005, 0.85],
        [0.05, 0.98],
        [0.5, 0.7],
        [1, 0.42],
      ];
      return {
        kind,
        name: `${isNpn ? npn : pnp}${group}`,
        source: SOURCE,
        datasheet: {
          source: TYPICAL,
          currentGain: activePoints(
            2,
            shape.map(([current, share]) => [current, share * typical]),
          ),
          gainRange: [least, greatest],
          baseEmitterVoltage: activePoints(2, [
            [0.005, 0.61],
            [0.15, 0.73],
            [0.5, 0.82],
          ]),
          saturationVoltage: saturations(10, [
            [0.15, 0.09],
            [0.5, 0.2],
          ]),
          saturationBaseVoltage: saturations(10, [[0.5, 0.92]]),
          transitionFrequency: { collectorCurrent: 0.05, collectorEmitterVoltage: 5, value: isNpn ? 130e6 : 100e6 },
          emitterCapacitance: [{ reverseVoltage: 0.5, value: 80e-12 }],
          collectorCapacitance: [{ reverseVoltage: 10, value: isNpn ? 12e-12 : 18e-12 }],
          thermalResistance: 100,
          caseThermalResistance: 10,
          ratings: {
            collectorEmitterVoltage: volts,
            collectorBaseVoltage: volts,
            emitterBaseVoltage: 5,
            collectorCurrent: 1.5,
            dissipation: 12.5,
            junctionTemperature: CELSIUS_150,
          },
        },
        given: { ...LARGE, earlyVoltage: isNpn ? 100 : 70, emitterResistance: 0.05, emitterBreakdownVoltage: 7.5 },
      };
    }),
  ),
);
