/** From data-sheet figures to the parameters of a diode; the same method as for transistors. */
import { exp, log } from '../numerics/elementary.ts';
import { leastSquares } from '../numerics/least-squares.ts';
import { BREAKDOWN_CURRENT, REFERENCE_TEMPERATURE, thermalVoltage } from './constants.ts';
import type { DiodeDatasheet } from './datasheet.ts';
import { capacitanceAt, fitJunction } from './fit-charge.ts';
import { conditions, DatasheetError, type FitPoint, type FitReport } from './fit-report.ts';
import type { DiodeParameters } from './parameters.ts';

const VOLTAGE_SPREAD = 0.01; // V
/** Prior of the ideality: silicon diodes at usual currents; common practice, no source. */
const USUAL_IDEALITY = 1.7;
const IDEALITY_SPREAD = 0.3;
const PRIOR_SPREAD = log(10);

/** V_F at a current, V. */
export function forwardVoltage(p: DiodeParameters, current: number): number {
  const vT = thermalVoltage(REFERENCE_TEMPERATURE);
  return (p.ideality ?? 1) * vT * log(1 + current / p.saturationCurrent) + current * (p.seriesResistance ?? 0);
}

/**
 * Fits a diode.
 * @param sheet figures; magnitudes in SI units
 * @param given parameters held at their values
 * @throws DatasheetError if there is no forward voltage
 */
export function fitDiode(sheet: DiodeDatasheet, given: Partial<DiodeParameters> = {}): FitReport<DiodeParameters> {
  const forward = sheet.forwardVoltage;
  if (forward.length === 0) throw new DatasheetError('forwardVoltage', 'one point of forward voltage at a current is needed');
  const vT = thermalVoltage(REFERENCE_TEMPERATURE);
  const fitsIdeality = given.ideality === undefined && forward.length > 1;
  const fitsResistance = given.seriesResistance === undefined && forward.length > 2;
  const least = forward.reduce((a, b) => (b.current < a.current ? b : a));
  const most = forward.reduce((a, b) => (b.current > a.current ? b : a));
  const usual = given.ideality ?? USUAL_IDEALITY;
  const resistance = (0.05 * most.value) / most.current;
  const assemble = (x: ArrayLike<number>): DiodeParameters => {
    let next = 0;
    const p: DiodeParameters = { ideality: usual, ...given, saturationCurrent: given.saturationCurrent ?? exp(x[next++]) };
    if (fitsIdeality) p.ideality = x[next++];
    if (fitsResistance) p.seriesResistance = exp(x[next]);
    return p;
  };
  const start: number[] = [];
  if (given.saturationCurrent === undefined) start.push(log(least.current) - least.value / (usual * vT));
  if (fitsIdeality) start.push(usual);
  if (fitsResistance) start.push(log(resistance));
  const count = forward.length + 2;
  const result = leastSquares(
    (x, residuals) => {
      const p = assemble(x);
      forward.forEach((point, i) => {
        residuals[i] = (forwardVoltage(p, point.current) - point.value) / VOLTAGE_SPREAD;
      });
      residuals[forward.length] = fitsIdeality ? ((p.ideality ?? 1) - USUAL_IDEALITY) / IDEALITY_SPREAD : 0;
      residuals[forward.length + 1] = fitsResistance ? log((p.seriesResistance ?? 0) / resistance) / PRIOR_SPREAD : 0;
    },
    start,
    count,
  );
  const p = assemble(result.parameters);
  if (sheet.capacitance?.length) {
    const junction = fitJunction(sheet.capacitance, { potential: given.junctionPotential, grading: given.junctionGrading });
    p.junctionCapacitance = junction.capacitance;
    p.junctionPotential = junction.potential;
    p.junctionGrading = junction.grading;
  }
  const recovery = sheet.recoveryTime;
  // Charge control: the stored charge I_F tau decays towards -I_R tau and is gone after tau ln(1 + I_F/I_R) (Kingston,
  // Proc. IRE 42, 1954, in its lumped form; from memory).
  if (recovery) p.transitTime = recovery.value / log(1 + recovery.forwardCurrent / recovery.reverseCurrent);
  const breakdown = sheet.breakdown;
  if (breakdown) {
    const drop = breakdown.current * (p.seriesResistance ?? 0);
    p.breakdownVoltage = breakdown.value - drop - vT * log(breakdown.current / BREAKDOWN_CURRENT);
  }
  const parameters = { ...p, ...unfittedDiode(sheet), ...given };
  const assumed = given.ideality === undefined && !fitsIdeality ? ['ideality'] : [];
  return { parameters, points: diodePoints(sheet, parameters), assumed, reason: result.reason };
}

/** Parameters that a data sheet states as they are. */
export function unfittedDiode({ thermalResistance, caseThermalResistance, ratings }: DiodeDatasheet): Partial<DiodeParameters> {
  const rest: Partial<DiodeParameters> = {};
  if (thermalResistance !== undefined) rest.thermalResistance = thermalResistance;
  if (caseThermalResistance !== undefined) rest.caseThermalResistance = caseThermalResistance;
  if (ratings) rest.ratings = ratings;
  return rest;
}

/** Every figure of a data sheet beside what given parameters make of it. */
export function diodePoints(sheet: DiodeDatasheet, p: DiodeParameters): FitPoint[] {
  const from = (point: { source?: string }): string => point.source ?? sheet.source ?? '';
  const vT = thermalVoltage(REFERENCE_TEMPERATURE);
  const points: FitPoint[] = sheet.forwardVoltage.map((x) => ({
    quantity: 'V_F',
    at: conditions([x.current, 'A']),
    wanted: x.value,
    met: forwardVoltage(p, x.current),
    unit: 'V',
    source: from(x),
  }));
  for (const x of sheet.capacitance ?? []) {
    const met = capacitanceAt(p.junctionCapacitance, p.junctionPotential, p.junctionGrading, x.reverseVoltage);
    points.push({ quantity: 'C_j', at: conditions([x.reverseVoltage, 'V']), wanted: x.value, met, unit: 'F', source: from(x) });
  }
  const recovery = sheet.recoveryTime;
  if (recovery) {
    const at = conditions([recovery.forwardCurrent, 'A'], [recovery.reverseCurrent, 'A']);
    const met = (p.transitTime ?? 0) * log(1 + recovery.forwardCurrent / recovery.reverseCurrent);
    points.push({ quantity: 't_rr', at, wanted: recovery.value, met, unit: 's', source: from(recovery) });
  }
  const breakdown = sheet.breakdown;
  if (breakdown && p.breakdownVoltage !== undefined) {
    const met = p.breakdownVoltage + vT * log(breakdown.current / BREAKDOWN_CURRENT) + breakdown.current * (p.seriesResistance ?? 0);
    points.push({
      quantity: 'V_br',
      at: conditions([breakdown.current, 'A']),
      wanted: breakdown.value,
      met,
      unit: 'V',
      source: from(breakdown),
    });
  }
  return points;
}
