/** What may stand under `devices`: the parameter tables of `physics.md`, with units and ranges. */
import { isMap } from 'yaml';
import type { BipolarParameters, BipolarRatings, DiodeParameters, DiodeRatings } from '../devices/parameters.ts';
import { join, offsetOf, pairOf } from './document.ts';
import { list, range } from './list-rules.ts';
import { map } from './map-rules.ts';
import { type Log, type Rule, type Spot, spoken } from './rule.ts';
import { quantity } from './scalar-rules.ts';

const positive = { above: 0 };
const notNegative = { atLeast: 0 };
/** The grading of a depletion charge: its integral needs an exponent below 1. */
const grading = quantity('number', { above: 0, atMost: 0.95 });

export const bipolarRatings: Rule<BipolarRatings> = map(
  {},
  {
    collectorEmitterVoltage: quantity('V', positive),
    collectorBaseVoltage: quantity('V', positive),
    emitterBaseVoltage: quantity('V', positive),
    collectorCurrent: quantity('A', positive),
    dissipation: quantity('W', positive),
    junctionTemperature: quantity('temperature', positive),
    secondBreakdown: list(map({ volts: quantity('V', positive), amperes: quantity('A', positive) }, {}), { atLeast: 1 }),
  },
);

export const diodeRatings: Rule<DiodeRatings> = map(
  {},
  {
    reverseVoltage: quantity('V', positive),
    current: quantity('A', positive),
    dissipation: quantity('W', positive),
    junctionTemperature: quantity('temperature', positive),
  },
);

const bipolarRequired = {
  saturationCurrent: quantity('A', positive),
  forwardBeta: quantity('number', positive),
  reverseBeta: quantity('number', positive),
};
const bipolarOptional = {
  forwardIdeality: quantity('number', positive),
  reverseIdeality: quantity('number', positive),
  earlyVoltage: quantity('V', positive),
  reverseEarlyVoltage: quantity('V', positive),
  forwardKneeCurrent: quantity('A', positive),
  reverseKneeCurrent: quantity('A', positive),
  emitterLeakageCurrent: quantity('A', notNegative),
  emitterLeakageIdeality: quantity('number', positive),
  collectorLeakageCurrent: quantity('A', notNegative),
  collectorLeakageIdeality: quantity('number', positive),
  baseResistance: quantity('Ω', notNegative),
  emitterResistance: quantity('Ω', notNegative),
  collectorResistance: quantity('Ω', notNegative),
  emitterJunctionCapacitance: quantity('F', notNegative),
  emitterJunctionPotential: quantity('V', positive),
  emitterJunctionGrading: grading,
  collectorJunctionCapacitance: quantity('F', notNegative),
  collectorJunctionPotential: quantity('V', positive),
  collectorJunctionGrading: grading,
  forwardTransitTime: quantity('s', notNegative),
  reverseTransitTime: quantity('s', notNegative),
  emitterBreakdownVoltage: quantity('V', positive),
  bandgapVoltage: quantity('V', positive),
  saturationTemperatureExponent: quantity('number'),
  betaTemperatureExponent: quantity('number'),
  flickerCorner: quantity('Hz', notNegative),
  thermalResistance: quantity('K/W', positive),
  caseThermalResistance: quantity('K/W', positive),
  betaRange: range(quantity('number', positive)),
  saturationCurrentRange: range(quantity('A', positive)),
  ratings: bipolarRatings,
};

const diodeRequired = { saturationCurrent: quantity('A', positive) };
const diodeOptional = {
  ideality: quantity('number', positive),
  seriesResistance: quantity('Ω', notNegative),
  junctionCapacitance: quantity('F', notNegative),
  junctionPotential: quantity('V', positive),
  junctionGrading: grading,
  transitTime: quantity('s', notNegative),
  breakdownVoltage: quantity('V', positive),
  bandgapVoltage: quantity('V', positive),
  saturationTemperatureExponent: quantity('number'),
  flickerCorner: quantity('Hz', notNegative),
  thermalResistance: quantity('K/W', positive),
  caseThermalResistance: quantity('K/W', positive),
  saturationCurrentRange: range(quantity('A', positive)),
  ratings: diodeRatings,
};

/** Parameters that have no default once another is given: `physics.md`, "with ...". */
const BIPOLAR_COMPANIONS = {
  emitterLeakageCurrent: ['emitterLeakageIdeality'],
  collectorLeakageCurrent: ['collectorLeakageIdeality'],
  emitterJunctionCapacitance: ['emitterJunctionPotential', 'emitterJunctionGrading'],
  collectorJunctionCapacitance: ['collectorJunctionPotential', 'collectorJunctionGrading'],
} as const;
const DIODE_COMPANIONS = { junctionCapacitance: ['junctionPotential', 'junctionGrading'] } as const;

/** Add to a rule that some keys need others; what is missing is reported by name. */
function withCompanions<T extends object>(rule: Rule<T>, companions: Readonly<Record<string, readonly string[]>>): Rule<T> {
  return {
    ...rule,
    schema: { ...rule.schema, dependentRequired: companions },
    read: (spot, log) => {
      const missing = Object.entries(companions).filter(([key, needed]) => reportMissing(spot, log, key, needed));
      const value = rule.read(spot, log);
      return missing.length > 0 ? undefined : value;
    },
  };
}

function reportMissing(spot: Spot, log: Log, key: string, needed: readonly string[]): boolean {
  const { node } = spot;
  if (!isMap(node)) return false;
  const pair = pairOf(node, key);
  if (pair === undefined) return false;
  const missing = needed.filter((name) => pairOf(node, name) === undefined);
  for (const name of missing) {
    log.report(
      offsetOf(pair.key),
      join(spot.path, name),
      'missing-key',
      `${spoken(spot.path)}: \`${key}\` has an effect only with \`${name}\`, which has no default; add it.`,
    );
  }
  return missing.length > 0;
}

export const bipolarParameters: Rule<BipolarParameters> = withCompanions(map(bipolarRequired, bipolarOptional), BIPOLAR_COMPANIONS);
export const diodeParameters: Rule<DiodeParameters> = withCompanions(map(diodeRequired, diodeOptional), DIODE_COMPANIONS);

/** The same keys beside `datasheet`, where none of them is needed: those given are held at their values. */
export const bipolarGiven = { ...bipolarRequired, ...bipolarOptional };
export const diodeGiven = { ...diodeRequired, ...diodeOptional };
