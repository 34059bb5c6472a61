/**
 * Small Pro Electron transistors BC546 to BC550 and BC556 to BC560, with their gain groups A, B, C. Limits and groups
 * are facts of the registrations, as two or more independent public pages give them; typical points are from memory.
 */
import type { Polarity } from '../parameters.ts';
import { activePoints, type BipolarEntry, CELSIUS_150, CHECK_LEADS, SMALL, saturations, TYPICAL } from './entry.ts';

/** Limits by number: V_CEO, V_CBO, V_EBO in volts, and the groups made. */
const LIMITS: [npn: string, pnp: string, ceo: number, cbo: number, npnEbo: number, pnpEbo: number, groups: string][] = [
  ['BC546', 'BC556', 65, 80, 6, 5, 'AB'],
  ['BC547', 'BC557', 45, 50, 6, 5, 'ABC'],
  ['BC548', 'BC558', 30, 30, 5, 5, 'ABC'],
  ['BC549', 'BC559', 30, 30, 5, 5, 'BC'],
  ['BC550', 'BC560', 45, 50, 5, 5, 'BC'],
];

/** Gain by group at 2 mA and 5 V: least, typical, greatest. Without a letter the type spans them all. */
const GROUPS: Record<string, [number, number, number]> = {
  '': [110, 290, 800],
  A: [110, 180, 220],
  B: [200, 290, 450],
  C: [420, 520, 800],
};

/** Shape of the typical gain curve, relative to 2 mA: [A, share]. */
const NPN_SHAPE: [number, number][] = [
  [1e-5, 0.52],
  [1e-4, 0.78],
  [1e-3, 0.96],
  [0.01, 1],
  [0.05, 0.8],
  [0.1, 0.6],
];
const PNP_SHAPE: [number, number][] = [
  [1e-5, 0.6],
  [1e-4, 0.84],
  [1e-3, 0.98],
  [0.01, 0.98],
  [0.05, 0.72],
  [0.1, 0.5],
];

const SOURCE = `limits and gain groups of the Pro Electron registration; curves typical, from memory, within 30 %; plastic case, leads mostly collector, base, emitter from the left, flat side towards you: ${CHECK_LEADS}`;

function entry(kind: Polarity, name: string, group: string, ceo: number, cbo: number, ebo: number): BipolarEntry {
  const [least, typical, greatest] = GROUPS[group];
  const isNpn = kind === 'npn';
  const shape = isNpn ? NPN_SHAPE : PNP_SHAPE;
  const isQuiet = /^BC5[456][90]/.test(name);
  return {
    kind,
    name: `${name}${group}`,
    source: SOURCE,
    datasheet: {
      source: TYPICAL,
      currentGain: activePoints(5, [[2e-3, typical], ...shape.map(([current, share]): [number, number] => [current, share * typical])]),
      gainRange: [least, greatest],
      baseEmitterVoltage: activePoints(5, [
        [2e-3, isNpn ? 0.66 : 0.65],
        [0.01, isNpn ? 0.715 : 0.71],
      ]),
      saturationVoltage: saturations(
        20,
        isNpn
          ? [
              [0.01, 0.09],
              [0.1, 0.2],
            ]
          : [
              [0.01, 0.075],
              [0.1, 0.25],
            ],
      ),
      saturationBaseVoltage: saturations(20, [
        [0.01, isNpn ? 0.73 : 0.72],
        [0.1, isNpn ? 0.9 : 0.87],
      ]),
      transitionFrequency: { collectorCurrent: 0.01, collectorEmitterVoltage: 5, value: isNpn ? 300e6 : 150e6 },
      emitterCapacitance: [{ reverseVoltage: 0.5, value: isNpn ? 9e-12 : 11e-12 }],
      collectorCapacitance: [{ reverseVoltage: 10, value: isNpn ? 2e-12 : 3.5e-12 }],
      thermalResistance: 250,
      ratings: {
        collectorEmitterVoltage: ceo,
        collectorBaseVoltage: cbo,
        emitterBaseVoltage: ebo,
        collectorCurrent: 0.1,
        dissipation: 0.5,
        junctionTemperature: CELSIUS_150,
      },
    },
    given: {
      ...SMALL,
      earlyVoltage: (isNpn ? 80 : 45) * (group === 'C' ? 0.7 : 1),
      emitterResistance: 0.3,
      emitterBreakdownVoltage: ebo + 2,
      flickerCorner: isQuiet ? 300 : 1000,
    },
  };
}

export const REGISTERED_BC: BipolarEntry[] = LIMITS.flatMap(([npn, pnp, ceo, cbo, npnEbo, pnpEbo, groups]) =>
  ['', ...groups].flatMap((group) => [entry('npn', npn, group, ceo, cbo, npnEbo), entry('pnp', pnp, group, ceo, cbo, pnpEbo)]),
);
