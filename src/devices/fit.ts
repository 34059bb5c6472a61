/** Fitting devices to the figures of their data sheets. */
export { fitBipolar } from './fit-bipolar.ts';
export { fitDiode } from './fit-diode.ts';
export { DatasheetError, type FitPoint, type FitReport } from './fit-report.ts';
