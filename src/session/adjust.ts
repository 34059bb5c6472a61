/** Which quantities of a thing on the drawing can be turned, and on what ruler. */
import type { Unit } from '../quantity/index.ts';
import { quantityAt } from '../sheet/index.ts';
import type { Part, Sheet } from '../sheet/types.ts';
import type { Row, Scale } from './steps.ts';

export interface Adjustable {
  path: string;
  /** As a screen reader says it: `R3, resistance`. */
  name: string;
  label: string;
  unit: Unit;
  scale: Scale;
}

const decades = (coarse: Row, least: number, most: number, zero = false, fine: Row = coarse): Scale => ({
  kind: 'decades',
  coarse,
  fine,
  least,
  most,
  zero,
});

const BY_UNIT: Readonly<Partial<Record<Unit, Scale>>> = {
  Ω: decades('E24', 0.01, 1e9),
  F: decades('E6', 1e-13, 1, false, 'E12'),
  H: decades('E6', 1e-9, 100, false, 'E12'),
  A: decades('1-2-5', 1e-9, 100, false, 'tidy'),
  Hz: decades('1-2-5', 0.1, 1e8, false, 'tidy'),
  number: decades('1-2-5', 1, 10_000, false, 'tidy'),
};

const SERIES: ReadonlySet<string> = new Set<Row>(['E6', 'E12', 'E24']);

/** A part's value on the series that the sheet prefers for its kind. */
function scaleFor(sheet: Sheet, part: Part['kind'] | 'load', unit: Unit, value: number): Scale {
  if (unit === 'V') return { kind: 'even', coarse: 0.5, fine: 0.1, least: value < 0 ? -200 : 0.1, most: value < 0 ? -0.1 : 200 };
  if (unit === 'share' || (part === 'trimmer' && unit === 'number')) return { kind: 'even', coarse: 0.05, fine: 0.01, least: 0, most: 1 };
  const scale = BY_UNIT[unit] ?? decades('1-2-5', 1e-12, 1e12, false, 'tidy');
  if (scale.kind === 'even') return scale;
  if (unit === 'Ω' && SERIES.has(sheet.series.resistors)) return { ...scale, coarse: sheet.series.resistors as Row };
  if (unit === 'F' && SERIES.has(sheet.series.capacitors)) return { ...scale, coarse: sheet.series.capacitors as Row };
  return scale;
}

const WORDS: Readonly<Record<string, string>> = {
  resistor: 'resistance',
  trimmer: 'resistance',
  position: 'position',
  capacitor: 'capacitance',
  inductor: 'inductance',
  voltage: 'voltage',
  current: 'current',
  forwardBeta: 'h_FE',
  area: 'area',
  volts: 'voltage',
};

function entry(sheet: Sheet, path: string, of: string, kind: Part['kind'] | 'load'): Adjustable[] {
  const quantity = quantityAt(sheet, path);
  if (quantity?.value === undefined) return [];
  const words = WORDS[path.split('.').at(-1) ?? ''] ?? 'value';
  return [
    { path, name: `${of}, ${words}`, label: words, unit: quantity.unit, scale: scaleFor(sheet, kind, quantity.unit, quantity.value) },
  ];
}

/** What of a part can be turned: its value, a trimmer's position, a transistor's h_FE where the sheet defines its device. */
export function adjustables(sheet: Sheet, part: Part): Adjustable[] {
  switch (part.kind) {
    case 'npn':
    case 'pnp':
    case 'diode': {
      const beta = part.kind === 'diode' ? [] : entry(sheet, `devices.${part.device}.${part.kind}.forwardBeta`, part.name, part.kind);
      return beta.length > 0 ? beta : entry(sheet, `parts.${part.name}.area`, part.name, part.kind);
    }
    case 'trimmer':
      return [
        ...entry(sheet, `parts.${part.name}.position`, part.name, part.kind),
        ...entry(sheet, `parts.${part.name}.trimmer`, part.name, part.kind),
      ];
    case 'speaker':
      return entry(sheet, `parts.${part.name}.speaker.resistance`, part.name, part.kind);
    default:
      return entry(sheet, `parts.${part.name}.${part.kind}`, part.name, part.kind);
  }
}

/** What of the connected load can be turned. */
export function loadAdjustables(sheet: Sheet): Adjustable[] {
  if (sheet.load === undefined) return [];
  return ['resistor', 'capacitor', 'inductor'].flatMap((kind) => entry(sheet, `loads.${sheet.load}.${kind}`, `load ${sheet.load}`, 'load'));
}

/** A supply's voltage. */
export function supplyAdjustables(sheet: Sheet, node: string): Adjustable[] {
  return entry(sheet, `supplies.${node}.volts`, `supply ${node}`, 'load');
}
