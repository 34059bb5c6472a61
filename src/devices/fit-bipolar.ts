/**
 * From data-sheet figures to the parameters of a transistor. The fit is our own: weighted least squares in the
 * logarithms of the parameters, with weak priors where the figures leave something open, so that few figures give a
 * tame device and many decide alone.
 */
import { exp, log } from '../numerics/elementary.ts';
import { leastSquares } from '../numerics/least-squares.ts';
import type { BipolarDatasheet } from './datasheet.ts';
import { capacitanceAt, fitJunction } from './fit-charge.ts';
import { conditions, DatasheetError, type FitPoint, type FitReport } from './fit-report.ts';
import type { BipolarParameters } from './parameters.ts';
import { BipolarPredictor } from './predict.ts';

/** One standard deviation of each kind of figure: what a typical curve read by eye is worth. */
const GAIN_SPREAD = 0.05; // of h_FE
const VOLTAGE_SPREAD = 0.005; // V of V_BE
const SATURATION_SPREAD = 0.1; // of V_CE(sat)
const SATURATION_BASE_SPREAD = 0.015; // V of V_BE(sat)
/** Standard deviation of a prior: a factor of 10. */
const PRIOR_SPREAD = log(10);
/** What a figure out of reach counts as, in standard deviations: large, but finite, so that the fit can move. */
const OUT_OF_REACH = 100;

/** Usual values for what data sheets seldom tell: common practice, no source. */
const USUAL = { reverseBeta: 4, earlyVoltage: 100, emitterLeakageIdeality: 1.6 };

/** A parameter of the fit: its logarithm at the start, and its prior. */
interface Unknown {
  key: 'saturationCurrent' | 'forwardBeta' | 'leakageCorner' | 'forwardKneeCurrent' | 'collectorResistance' | 'baseResistance';
  start: number;
  prior: boolean;
}

/**
 * Fits a transistor.
 * @param sheet figures; magnitudes in SI units
 * @param given parameters held at their values
 * @throws DatasheetError if there is no gain, or no base voltage to place the saturation current by
 */
export function fitBipolar(sheet: BipolarDatasheet, given: Partial<BipolarParameters> = {}): FitReport<BipolarParameters> {
  if (sheet.currentGain.length === 0) throw new DatasheetError('currentGain', 'one point of h_FE at least is needed');
  const voltages = sheet.baseEmitterVoltage ?? [];
  const baseSaturation = sheet.saturationBaseVoltage ?? [];
  if (voltages.length + baseSaturation.length === 0 && given.saturationCurrent === undefined) {
    throw new DatasheetError('baseEmitterVoltage', 'one point of V_BE at a collector current is needed, or the saturationCurrent');
  }
  const assumed = (['reverseBeta', 'earlyVoltage'] as const).filter((key) => given[key] === undefined);
  const base: Partial<BipolarParameters> = { reverseBeta: USUAL.reverseBeta, earlyVoltage: USUAL.earlyVoltage, ...given };
  const unknowns = chooseUnknowns(sheet, given);
  const misfits = misfitsOf(sheet);
  const result = leastSquares(
    (logs, residuals) => {
      const device = new BipolarPredictor(assemble(base, unknowns, logs));
      misfits.forEach((misfit, i) => {
        const value = misfit(device);
        residuals[i] = Number.isFinite(value) ? value : OUT_OF_REACH;
      });
      unknowns.forEach((unknown, i) => {
        residuals[misfits.length + i] = unknown.prior ? (logs[i] - unknown.start) / PRIOR_SPREAD : 0;
      });
    },
    unknowns.map((unknown) => unknown.start),
    misfits.length + unknowns.length,
  );
  const conduction = assemble(base, unknowns, result.parameters);
  const parameters = addCharges(conduction, sheet, given);
  const complete = { ...parameters, ...unfitted(sheet, parameters.forwardBeta), ...given };
  return { parameters: complete, points: bipolarPoints(sheet, complete), assumed, reason: result.reason };
}

/** Parameters that a data sheet states as they are: thermal resistances, ratings, and its range of gains as one of beta_F. */
export function unfitted(sheet: BipolarDatasheet, forwardBeta: number): Partial<BipolarParameters> {
  const { thermalResistance, caseThermalResistance, ratings, gainRange } = sheet;
  const rest: Partial<BipolarParameters> = {};
  if (thermalResistance !== undefined) rest.thermalResistance = thermalResistance;
  if (caseThermalResistance !== undefined) rest.caseThermalResistance = caseThermalResistance;
  if (ratings) rest.ratings = ratings;
  if (gainRange) {
    const factor = forwardBeta / sheet.currentGain[0].value;
    rest.betaRange = [gainRange[0] * factor, gainRange[1] * factor];
  }
  return rest;
}

function chooseUnknowns(sheet: BipolarDatasheet, given: Partial<BipolarParameters>): Unknown[] {
  const gains = sheet.currentGain;
  const currents = gains.map((p) => p.collectorCurrent);
  const unknowns: Unknown[] = [];
  const add = (key: Unknown['key'], start: number, prior: boolean): void => {
    unknowns.push({ key, start: log(start), prior });
  };
  if (given.saturationCurrent === undefined) add('saturationCurrent', startingSaturation(sheet), false);
  if (given.forwardBeta === undefined) add('forwardBeta', 1.1 * Math.max(...gains.map((p) => p.value)), false);
  if (gains.length > 1) {
    if (given.emitterLeakageCurrent === undefined) add('leakageCorner', Math.min(...currents) / 10, true);
    if (given.forwardKneeCurrent === undefined) add('forwardKneeCurrent', 3 * Math.max(...currents), true);
  }
  const saturation = sheet.saturationVoltage ?? [];
  if (saturation.length > 0 && given.collectorResistance === undefined) {
    const last = saturation.reduce((a, b) => (b.collectorCurrent > a.collectorCurrent ? b : a));
    add('collectorResistance', (0.5 * last.value) / last.collectorCurrent, true);
  }
  const base = sheet.saturationBaseVoltage ?? [];
  if (base.length > 0 && given.baseResistance === undefined) {
    const last = base.reduce((a, b) => (b.baseCurrent > a.baseCurrent ? b : a));
    add('baseResistance', 0.05 / last.baseCurrent, true);
  }
  return unknowns;
}

/** I_S from the base voltage at the least current: the ideal exponential at 25.7 mV. */
function startingSaturation(sheet: BipolarDatasheet): number {
  const all = [...(sheet.baseEmitterVoltage ?? []), ...(sheet.saturationBaseVoltage ?? [])];
  const least = all.reduce((a, b) => (b.collectorCurrent < a.collectorCurrent ? b : a));
  return least.collectorCurrent * exp(-least.value / 0.0257);
}

/** Parameters from the logarithms of the fit. */
function assemble(base: Partial<BipolarParameters>, unknowns: Unknown[], logs: ArrayLike<number>): BipolarParameters {
  const values: Partial<Record<Unknown['key'], number>> = {};
  unknowns.forEach((unknown, i) => {
    values[unknown.key] = exp(logs[i]);
  });
  const { leakageCorner, ...direct } = values;
  const p = { ...base, ...direct } as BipolarParameters;
  if (leakageCorner === undefined) return p;
  // The leakage is fitted as the collector current at which it takes as much as the ideal base current: two figures
  // that hardly depend on each other, where I_SE and I_S do.
  const ideality = p.emitterLeakageIdeality ?? USUAL.emitterLeakageIdeality;
  const leakage = (leakageCorner / p.forwardBeta) * exp(log(p.saturationCurrent / leakageCorner) / ideality);
  return { ...p, emitterLeakageCurrent: leakage, emitterLeakageIdeality: ideality };
}

/** Misfit of each figure in standard deviations. */
function misfitsOf(sheet: BipolarDatasheet): ((device: BipolarPredictor) => number)[] {
  return [
    ...sheet.currentGain.map(
      (p) => (device: BipolarPredictor) => log(device.active(p.collectorCurrent, p.collectorEmitterVoltage).gain / p.value) / GAIN_SPREAD,
    ),
    ...(sheet.baseEmitterVoltage ?? []).map(
      (p) => (device: BipolarPredictor) => (device.active(p.collectorCurrent, p.collectorEmitterVoltage).vbe - p.value) / VOLTAGE_SPREAD,
    ),
    ...(sheet.saturationVoltage ?? []).map(
      (p) => (device: BipolarPredictor) => log(device.saturated(p.collectorCurrent, p.baseCurrent).vce / p.value) / SATURATION_SPREAD,
    ),
    ...(sheet.saturationBaseVoltage ?? []).map(
      (p) => (device: BipolarPredictor) => (device.saturated(p.collectorCurrent, p.baseCurrent).vbe - p.value) / SATURATION_BASE_SPREAD,
    ),
  ];
}

/** Capacitances first, then the transit time that f_T leaves for: both have closed forms. */
function addCharges(conduction: BipolarParameters, sheet: BipolarDatasheet, given: Partial<BipolarParameters>): BipolarParameters {
  const p = { ...conduction };
  if (sheet.emitterCapacitance?.length) {
    const fit = fitJunction(sheet.emitterCapacitance, { potential: given.emitterJunctionPotential, grading: given.emitterJunctionGrading });
    p.emitterJunctionCapacitance = fit.capacitance;
    p.emitterJunctionPotential = fit.potential;
    p.emitterJunctionGrading = fit.grading;
  }
  if (sheet.collectorCapacitance?.length) {
    const fit = fitJunction(sheet.collectorCapacitance, {
      potential: given.collectorJunctionPotential,
      grading: given.collectorJunctionGrading,
    });
    p.collectorJunctionCapacitance = fit.capacitance;
    p.collectorJunctionPotential = fit.potential;
    p.collectorJunctionGrading = fit.grading;
  }
  const frequency = sheet.transitionFrequency;
  if (frequency && given.forwardTransitTime === undefined) {
    const { rest, perTransitTime } = new BipolarPredictor(p).transit(frequency.collectorCurrent, frequency.collectorEmitterVoltage);
    const wanted = 1 / (2 * Math.PI * frequency.value);
    // Where the junctions alone are slower than the figure, no transit time meets it; the report shows by how much.
    if (wanted > rest) p.forwardTransitTime = (wanted - rest) / perTransitTime;
  }
  return p;
}

/** Every figure of a data sheet beside what given parameters make of it. */
export function bipolarPoints(sheet: BipolarDatasheet, p: BipolarParameters): FitPoint[] {
  const device = new BipolarPredictor(p);
  const from = (point: { source?: string }): string => point.source ?? sheet.source ?? '';
  const points: FitPoint[] = [];
  for (const x of sheet.currentGain) {
    const at = conditions([x.collectorCurrent, 'A'], [x.collectorEmitterVoltage, 'V']);
    const met = device.active(x.collectorCurrent, x.collectorEmitterVoltage).gain;
    points.push({ quantity: 'h_FE', at, wanted: x.value, met, unit: '', source: from(x) });
  }
  for (const x of sheet.baseEmitterVoltage ?? []) {
    const at = conditions([x.collectorCurrent, 'A'], [x.collectorEmitterVoltage, 'V']);
    const met = device.active(x.collectorCurrent, x.collectorEmitterVoltage).vbe;
    points.push({ quantity: 'V_BE', at, wanted: x.value, met, unit: 'V', source: from(x) });
  }
  for (const x of sheet.saturationVoltage ?? []) {
    const at = conditions([x.collectorCurrent, 'A'], [x.baseCurrent, 'A']);
    const met = device.saturated(x.collectorCurrent, x.baseCurrent).vce;
    points.push({ quantity: 'V_CE(sat)', at, wanted: x.value, met, unit: 'V', source: from(x) });
  }
  for (const x of sheet.saturationBaseVoltage ?? []) {
    const at = conditions([x.collectorCurrent, 'A'], [x.baseCurrent, 'A']);
    const met = device.saturated(x.collectorCurrent, x.baseCurrent).vbe;
    points.push({ quantity: 'V_BE(sat)', at, wanted: x.value, met, unit: 'V', source: from(x) });
  }
  const frequency = sheet.transitionFrequency;
  if (frequency) {
    const at = conditions([frequency.collectorCurrent, 'A'], [frequency.collectorEmitterVoltage, 'V']);
    const met = device.transitionFrequency(frequency.collectorCurrent, frequency.collectorEmitterVoltage);
    points.push({ quantity: 'f_T', at, wanted: frequency.value, met, unit: 'Hz', source: from(frequency) });
  }
  for (const x of sheet.emitterCapacitance ?? []) {
    const met = capacitanceAt(p.emitterJunctionCapacitance, p.emitterJunctionPotential, p.emitterJunctionGrading, x.reverseVoltage);
    points.push({ quantity: 'C_EB', at: conditions([x.reverseVoltage, 'V']), wanted: x.value, met, unit: 'F', source: from(x) });
  }
  for (const x of sheet.collectorCapacitance ?? []) {
    const met = capacitanceAt(p.collectorJunctionCapacitance, p.collectorJunctionPotential, p.collectorJunctionGrading, x.reverseVoltage);
    points.push({ quantity: 'C_CB', at: conditions([x.reverseVoltage, 'V']), wanted: x.value, met, unit: 'F', source: from(x) });
  }
  return points;
}
