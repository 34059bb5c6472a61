/** The fit of one built-in device, rounded for writing down. */
import { fitBipolar, fitDiode } from '../fit.ts';
import type { BipolarParameters, DiodeParameters } from '../parameters.ts';
import type { BipolarEntry, DiodeEntry } from './entry.ts';

/** Figures of a written parameter: far finer than the figures it comes from. */
const DIGITS = 5;

/** Parameters of a transistor that its fit decides, and the required ones. */
export function fittedTransistor(entry: BipolarEntry): BipolarParameters {
  const { parameters } = fitBipolar(entry.datasheet, entry.given);
  const { saturationCurrent, forwardBeta, reverseBeta } = parameters;
  return { ...written(parameters, entry.given), ...written({ saturationCurrent, forwardBeta, reverseBeta }, {}) };
}

/** Parameters of a diode that its fit decides, and the required one. */
export function fittedDiode(entry: DiodeEntry): DiodeParameters {
  const { parameters } = fitDiode(entry.datasheet, entry.given);
  const { saturationCurrent } = parameters;
  return { ...written(parameters, entry.given), ...written({ saturationCurrent }, {}) };
}

/** The numbers among the parameters, rounded, without those that stand elsewhere as they are. */
function written<P extends object>(parameters: P, given: object): P {
  const stated = new Set([...Object.keys(given), 'thermalResistance', 'caseThermalResistance', 'ratings', 'betaRange']);
  const kept = Object.entries(parameters).filter(([key]) => !stated.has(key));
  return Object.fromEntries(kept.map(([key, value]) => [key, typeof value === 'number' ? Number(value.toPrecision(DIGITS)) : value])) as P;
}
