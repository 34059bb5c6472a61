/** Devices given by figures of their data sheet: what may stand under `datasheet`, and the fit that follows. */
import { isMap } from 'yaml';
import type { BipolarDatasheet, DiodeDatasheet } from '../devices/datasheet.ts';
import { DatasheetError, type FitReport, fitBipolar, fitDiode } from '../devices/fit.ts';
import type { BipolarParameters, DiodeParameters, Provenance } from '../devices/parameters.ts';
import type { Unit } from '../quantity/index.ts';
import { bipolarGiven, bipolarRatings, diodeGiven, diodeRatings } from './device-rules.ts';
import { join, keyText } from './document.ts';
import { list, range } from './list-rules.ts';
import { map } from './map-rules.ts';
import { type Log, type Rule, type Spot, spoken } from './rule.ts';
import { quantity, text } from './scalar-rules.ts';

const positive = { above: 0 };
const source = text('Where the figure is from.');

const active = (unit: Unit) =>
  map(
    { collectorCurrent: quantity('A', positive), collectorEmitterVoltage: quantity('V', positive), value: quantity(unit, positive) },
    { source },
  );
const saturation = list(
  map({ collectorCurrent: quantity('A', positive), baseCurrent: quantity('A', positive), value: quantity('V', positive) }, { source }),
  { atLeast: 1 },
);
const capacitance = list(map({ reverseVoltage: quantity('V', { atLeast: 0 }), value: quantity('F', positive) }, { source }), {
  atLeast: 1,
});
const thermal = { thermalResistance: quantity('K/W', positive), caseThermalResistance: quantity('K/W', positive) };

export const bipolarDatasheet: Rule<BipolarDatasheet> = map(
  { currentGain: list(active('number'), { atLeast: 1 }) },
  {
    baseEmitterVoltage: list(active('V'), { atLeast: 1 }),
    saturationVoltage: saturation,
    saturationBaseVoltage: saturation,
    transitionFrequency: active('Hz'),
    emitterCapacitance: capacitance,
    collectorCapacitance: capacitance,
    ...thermal,
    gainRange: range(quantity('number', positive)),
    ratings: bipolarRatings,
    source,
  },
);

const current = quantity('A', positive);
export const diodeDatasheet: Rule<DiodeDatasheet> = map(
  { forwardVoltage: list(map({ current, value: quantity('V', positive) }, { source }), { atLeast: 1 }) },
  {
    capacitance,
    recoveryTime: map({ forwardCurrent: current, reverseCurrent: current, value: quantity('s', positive) }, { source }),
    breakdown: map({ current, value: quantity('V', positive) }, { source }),
    ...thermal,
    ratings: diodeRatings,
    source,
  },
);

export const fittedBipolar = map({ datasheet: bipolarDatasheet }, bipolarGiven);
export const fittedDiode = map({ datasheet: diodeDatasheet }, diodeGiven);

/** Whether a device is given by a data sheet. */
export function hasDatasheet({ node }: Spot): boolean {
  return isMap(node) && node.items.some((pair) => keyText(pair) === 'datasheet');
}

interface Fitted<P> {
  parameters: P;
  provenance: Provenance;
}

/** Read and fit a transistor; undefined after a report if the figures do not suffice or the fit does not settle. */
export function readFittedBipolar(spot: Spot, log: Log): Fitted<BipolarParameters> | undefined {
  const read = fittedBipolar.read(spot, log);
  if (read === undefined) return undefined;
  const { datasheet, ...given } = read;
  return fitted(spot, log, datasheet.source, { datasheet, given }, () => fitBipolar(datasheet, given));
}

/** The same for a diode. */
export function readFittedDiode(spot: Spot, log: Log): Fitted<DiodeParameters> | undefined {
  const read = fittedDiode.read(spot, log);
  if (read === undefined) return undefined;
  const { datasheet, ...given } = read;
  return fitted(spot, log, datasheet.source, { datasheet, given }, () => fitDiode(datasheet, given));
}

// A sheet is read anew at every keystroke while its data sheets stay the same, and a fit takes longer than reading.
const fits = new Map<string, FitReport<unknown>>();
const MOST_FITS = 64;

function fitted<P>(spot: Spot, log: Log, origin: string | undefined, figures: unknown, fitNow: () => FitReport<P>): Fitted<P> | undefined {
  const path = join(spot.path, 'datasheet');
  const key = JSON.stringify([spot.path.split('.').at(-1), figures]);
  try {
    const report = (fits.get(key) as FitReport<P> | undefined) ?? fitNow();
    if (fits.size >= MOST_FITS) fits.clear();
    fits.set(key, report);
    if (report.reason === 'limit') {
      return log.report(
        spot.offset,
        path,
        'no-fit',
        `${spoken(spot.path)}: no parameters meet these figures; check them against each other and the data sheet.`,
      );
    }
    const assumed = report.assumed.length === 0 ? '' : `; assumed: ${report.assumed.join(', ')}`;
    return {
      parameters: report.parameters,
      provenance: { source: `fitted to ${origin ?? 'the figures under `datasheet`'}${assumed}`, points: report.points },
    };
  } catch (error) {
    if (!(error instanceof DatasheetError)) throw error;
    return log.report(
      spot.offset,
      join(path, error.path),
      'missing-key',
      `${spoken(spot.path)}: ${error.message}; add it under \`datasheet\`.`,
    );
  }
}
