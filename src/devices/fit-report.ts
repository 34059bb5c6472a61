/** How a fitted device meets the figures it was fitted to. */
import type { StopReason } from '../numerics/least-squares.ts';
import { formatQuantity, type Unit } from '../quantity/index.ts';
import type { Provenance } from './parameters.ts';

export type FitPoint = NonNullable<Provenance['points']>[number];

export interface FitReport<Parameters> {
  parameters: Parameters;
  points: FitPoint[];
  /** Parameters that no figure settles, set to usual values. */
  assumed: string[];
  reason: StopReason;
}

/** Figures that do not suffice, or contradict each other; `path` is the key under `datasheet` that is meant. */
export class DatasheetError extends Error {
  readonly path: string;
  constructor(path: string, message: string) {
    super(message);
    this.name = 'DatasheetError';
    this.path = path;
  }
}

/** A condition in words: `10.0 mA, 5.00 V`. */
export function conditions(...quantities: [value: number, unit: Unit][]): string {
  return quantities.map(([value, unit]) => formatQuantity(value, unit, { trim: true })).join(', ');
}
