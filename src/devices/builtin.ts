/**
 * The devices that a sheet may name without defining them: the classes (`small-signal`, `rectifier`, ...) and the
 * registered types. Their parameters are our own, fitted from figures (`types/`), never a maker's or another program's.
 */
import { bipolarPoints, unfitted } from './fit-bipolar.ts';
import { diodePoints, unfittedDiode } from './fit-diode.ts';
import type { BipolarParameters, Device, DiodeParameters, Provenance } from './parameters.ts';
import type { BipolarEntry, DiodeEntry } from './types/entry.ts';
import { FITTED_DIODES, FITTED_TRANSISTORS } from './types/fitted.ts';
import { ENTRIES } from './types/index.ts';

/** Half and double: 18 mV of base-emitter voltage either way, what is usual within a type; common practice, no source. */
const SATURATION_RATIO = 2;

const entries = new Map(ENTRIES.map((entry) => [`${entry.kind} ${entry.name}`, entry]));
const made = new Map<string, Device>();

/**
 * A built-in device, with where its figures come from and how the parameters meet them.
 * @param name as a sheet writes it: a class or a registered type, exactly
 * @param kind `npn`, `pnp` or `diode`: some classes exist for both polarities
 * @returns null if there is none of that name and kind; the same object every time, not to be changed
 */
export function builtinDevice(name: string, kind: Device['kind']): Device | null {
  const key = `${kind} ${name}`;
  const entry = entries.get(key);
  if (!entry) return null;
  const known = made.get(key);
  if (known) return known;
  const device = entry.kind === 'diode' ? makeDiode(entry, FITTED_DIODES[name]) : makeBipolar(entry, FITTED_TRANSISTORS[key]);
  made.set(key, device);
  return device;
}

/**
 * Names of the built-in devices, classes first.
 * @param kind only those of one kind; without it every name once
 */
export function builtinNames(kind?: Device['kind']): string[] {
  return [...new Set(ENTRIES.filter((entry) => kind === undefined || entry.kind === kind).map((entry) => entry.name))];
}

function makeBipolar(entry: BipolarEntry, fitted: BipolarParameters): Device {
  const parameters: BipolarParameters = {
    ...fitted,
    ...unfitted(entry.datasheet, fitted.forwardBeta),
    ...entry.given,
    saturationCurrentRange: rangeOf(fitted.saturationCurrent),
  };
  return withProvenance({ kind: entry.kind, name: entry.name, parameters }, entry.source, () => bipolarPoints(entry.datasheet, parameters));
}

function makeDiode(entry: DiodeEntry, fitted: DiodeParameters): Device {
  const parameters: DiodeParameters = {
    ...fitted,
    ...unfittedDiode(entry.datasheet),
    ...entry.given,
    saturationCurrentRange: rangeOf(fitted.saturationCurrent),
  };
  return withProvenance({ kind: 'diode', name: entry.name, parameters }, entry.source, () => diodePoints(entry.datasheet, parameters));
}

function rangeOf(saturationCurrent: number): [number, number] {
  return [saturationCurrent / SATURATION_RATIO, saturationCurrent * SATURATION_RATIO];
}

/** Adds the provenance, whose points are worked out when first asked for: a solve for each, which few sheets need. */
function withProvenance(device: Device, source: string, points: () => Provenance['points']): Device {
  let worked: Provenance['points'];
  return {
    ...device,
    provenance: {
      source,
      get points() {
        worked ??= points();
        return worked;
      },
    },
  };
}
