/** A built-in device as its figures: what the parameters in `fitted.ts` were fitted from. */
import type { ActivePoint, BipolarDatasheet, DiodeDatasheet, ForwardPoint, SaturationPoint } from '../datasheet.ts';
import type { BipolarParameters, DiodeParameters, Polarity } from '../parameters.ts';

export interface BipolarEntry {
  kind: Polarity;
  name: string;
  datasheet: BipolarDatasheet;
  /** Parameters that no figure settles, from memory or common practice. */
  given: Partial<BipolarParameters>;
  source: string;
}

export interface DiodeEntry {
  kind: 'diode';
  name: string;
  datasheet: DiodeDatasheet;
  given: Partial<DiodeParameters>;
  source: string;
}

/** What a point of a typical curve carries as its source. */
export const TYPICAL = 'typical, from memory, within 30 %';
/** Case and lead order, which differ between makers of one type. */
export const CHECK_LEADS = 'check the leads against the maker of the part in hand';

export const CELSIUS_150 = 423.15; // K
export const CELSIUS_175 = 448.15; // K
export const CELSIUS_200 = 473.15; // K

/** Points of h_FE or of V_BE at one collector-emitter voltage, from [A, value] pairs. */
export function activePoints(collectorEmitterVoltage: number, pairs: [number, number][]): ActivePoint[] {
  return pairs.map(([collectorCurrent, value]) => ({ collectorCurrent, collectorEmitterVoltage, value }));
}

/** Points of a saturation voltage at a forced gain, from [A, V] pairs. */
export function saturations(forcedGain: number, pairs: [number, number][]): SaturationPoint[] {
  return pairs.map(([collectorCurrent, value]) => ({ collectorCurrent, baseCurrent: collectorCurrent / forcedGain, value }));
}

/** Points of forward voltage, from [A, V] pairs. */
export function forwards(pairs: [number, number][]): ForwardPoint[] {
  return pairs.map(([current, value]) => ({ current, value }));
}

/** Usual values of small silicon transistors for what data sheets seldom tell: common practice, no source. */
export const SMALL: Partial<BipolarParameters> = {
  reverseBeta: 4,
  emitterLeakageIdeality: 1.6,
  betaTemperatureExponent: 1.5,
  reverseTransitTime: 1e-7,
  flickerCorner: 1000,
};

/** The same for transistors of amperes. */
export const LARGE: Partial<BipolarParameters> = { ...SMALL, reverseTransitTime: 1e-6, flickerCorner: 3000 };
