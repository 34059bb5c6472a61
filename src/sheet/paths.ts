/**
 * Dotted paths to the quantities of a sheet (`parts.R3.resistor`, `drive.peakToPeak`, `ambient`): their value, unit
 * and range, and a sheet with one of them changed. This is the way of knobs and sweeps: no text is touched, and
 * everything that did not change is shared.
 */
import type { Device } from '../devices/parameters.ts';
import type { Unit } from '../quantity/index.ts';
import { drive as driveRule, load as loadRule, SHEET_KEYS, supply as supplyRule, TARGETS } from './contract.ts';
import { bipolarParameters, diodeParameters } from './device-rules.ts';
import { partKeyRule } from './read-part.ts';
import { own, type Rule } from './rule.ts';
import type { Drive, Part, Sheet, TargetName } from './types.ts';

export interface SheetQuantity {
  path: string;
  /** SI; undefined where the sheet leaves it out and there is no default. */
  value: number | undefined;
  unit: Unit;
}

/** Keys of parts whose field in the sheet value has another name. */
const PART_FIELDS: Readonly<Record<string, string>> = {
  resistor: 'resistance',
  trimmer: 'resistance',
  capacitor: 'capacitance',
  inductor: 'inductance',
  voltage: 'volts',
  current: 'amperes',
};

type Fields = Readonly<Record<string, unknown>>;

/** The quantity at a path, or null where the path names none. */
export function quantityAt(sheet: Sheet, path: string): SheetQuantity | null {
  const found = locate(sheet, path);
  return found === null ? null : { path, value: found.value, unit: found.unit };
}

/**
 * The same sheet with the quantity at `path` set to `value` (SI). Throws RangeError on a path that names no quantity
 * or a value that is not finite; the value's range is the caller's matter (`readSheet` checks it in text).
 */
export function withValue(sheet: Sheet, path: string, value: number): Sheet {
  if (!Number.isFinite(value)) throw new RangeError(`${path}: ${value} is not a finite number`);
  const found = locate(sheet, path);
  if (found === null) throw new RangeError(`the sheet has no quantity at ${path}`);
  return found.set(value);
}

interface Located {
  value: number | undefined;
  unit: Unit;
  set: (value: number) => Sheet;
}

function locate(sheet: Sheet, path: string): Located | null {
  const [head, name = '', key = '', inner = ''] = path.split('.') as [string, string?, string?, string?];
  switch (head) {
    case 'ambient':
      return { value: sheet.ambient, unit: 'temperature', set: (ambient) => ({ ...sheet, ambient }) };
    case 'drive':
      return sheet.drive === undefined ? null : locateDrive(sheet, sheet.drive, name);
    case 'parts':
      return locatePart(sheet, name, key, inner);
    case 'supplies':
      return locateSupply(sheet, name, key === '' ? 'volts' : key, inner);
    case 'loads':
      return locateLoad(sheet, name, key, inner);
    case 'heatSinks':
      return locateHeatSink(sheet, name, key);
    case 'devices':
      return locateDevice(sheet, name, key, inner);
    case 'targets':
      return locateTarget(sheet, name, key);
    default:
      return null;
  }
}

function numberIn(fields: Fields, key: string): number | undefined {
  const value = own(fields, key);
  return typeof value === 'number' ? value : undefined;
}

/** A field of a plain record, or one a level deeper (`ripple.frequency`, `speaker.resonance`). */
function field(
  rule: Rule<unknown> | undefined,
  fields: Fields,
  key: string,
  inner: string,
  put: (fields: Fields) => Sheet,
): Located | null {
  const keyRule = own(rule?.keys ?? {}, key);
  if (inner === '') {
    if (keyRule?.unit === undefined) return null;
    return { value: numberIn(fields, key), unit: keyRule.unit, set: (value) => put({ ...fields, [key]: value }) };
  }
  const nested = own(fields, key);
  const unit = own(keyRule?.keys ?? {}, inner)?.unit;
  if (unit === undefined || typeof nested !== 'object' || nested === null) return null;
  const deeper = nested as Fields;
  return { value: numberIn(deeper, inner), unit, set: (value) => put({ ...fields, [key]: { ...deeper, [inner]: value } }) };
}

/** A list with one entry replaced. */
function replaced<T>(list: readonly T[], index: number, entry: T): T[] {
  const copy = list.slice();
  copy[index] = entry;
  return copy;
}

function locateDrive(sheet: Sheet, drive: Drive, key: string): Located | null {
  if (key === 'peakToPeak' || key === 'peak' || key === 'rms') {
    const value = drive.amplitude?.form === key ? drive.amplitude.volts : undefined;
    return { value, unit: 'V', set: (volts) => ({ ...sheet, drive: { ...drive, amplitude: { form: key, volts } } }) };
  }
  return field(driveRule, drive as unknown as Fields, key, '', (fields) => ({ ...sheet, drive: fields as unknown as Drive }));
}

function locatePart(sheet: Sheet, name: string, key: string, inner: string): Located | null {
  const index = sheet.parts.findIndex((part) => part.name === name);
  const part = sheet.parts[index] as Part | undefined;
  if (part === undefined) return null;
  const put = (fields: Fields): Sheet => ({ ...sheet, parts: replaced(sheet.parts, index, fields as unknown as Part) });
  const fields = part as unknown as Fields;
  const rule = partKeyRule(part.kind, key);
  if (inner !== '') return field({ keys: { [key]: rule } } as unknown as Rule<unknown>, fields, key, inner, put);
  if (rule?.unit === undefined) return null;
  const fieldName = key === part.kind ? (PART_FIELDS[key] ?? key) : key;
  return { value: numberIn(fields, fieldName), unit: rule.unit, set: (value) => put({ ...fields, [fieldName]: value }) };
}

function locateSupply(sheet: Sheet, name: string, key: string, inner: string): Located | null {
  const index = sheet.supplies.findIndex((supply) => supply.node === name);
  if (index < 0) return null;
  const fields = sheet.supplies[index] as unknown as Fields;
  return field(supplyRule, fields, key, inner, (next) => ({
    ...sheet,
    supplies: replaced(sheet.supplies, index, next as unknown as Sheet['supplies'][number]),
  }));
}

function locateLoad(sheet: Sheet, name: string, key: string, inner: string): Located | null {
  const index = sheet.loads.findIndex((load) => load.name === name);
  if (index < 0 || sheet.loads[index].open) return null;
  const fields = sheet.loads[index] as unknown as Fields;
  return field(loadRule, fields, key, inner, (next) => ({
    ...sheet,
    loads: replaced(sheet.loads, index, next as unknown as Sheet['loads'][number]),
  }));
}

function locateHeatSink(sheet: Sheet, name: string, key: string): Located | null {
  const index = sheet.heatSinks.findIndex((sink) => sink.name === name);
  if (index < 0 || key !== 'thermalResistance') return null;
  const sink = sheet.heatSinks[index];
  return {
    value: sink.thermalResistance,
    unit: 'K/W',
    set: (thermalResistance) => ({ ...sheet, heatSinks: replaced(sheet.heatSinks, index, { ...sink, thermalResistance }) }),
  };
}

/** A device's parameter; the parts that use the device change with it. */
function locateDevice(sheet: Sheet, name: string, kind: string, key: string): Located | null {
  const index = sheet.devices.findIndex((device) => device.name === name && device.kind === kind);
  if (index < 0) return null;
  const device = sheet.devices[index];
  const rule: Rule<unknown> = device.kind === 'diode' ? diodeParameters : bipolarParameters;
  return field(rule, device.parameters as unknown as Fields, key, '', (fields) =>
    withDevice(sheet, index, { ...device, parameters: fields } as unknown as Device),
  );
}

function withDevice(sheet: Sheet, index: number, device: Device): Sheet {
  const parts = sheet.parts.map((part) =>
    'device' in part && part.device === device.name && part.kind === device.kind
      ? ({ ...part, parameters: device.parameters } as Part)
      : part,
  );
  return { ...sheet, devices: replaced(sheet.devices, index, device), parts };
}

function locateTarget(sheet: Sheet, name: string, key: string): Located | null {
  if (!Object.hasOwn(TARGETS, name) || (key !== '' && key !== 'atLeast' && key !== 'atMost')) return null;
  const target = name as TargetName;
  const { rule, sense } = TARGETS[target];
  const bound = key === '' ? sense : key;
  const unit = rule.unit;
  if (unit === undefined) return null;
  const before = sheet.targets[target];
  return {
    value: before?.[bound],
    unit,
    set: (value) => ({ ...sheet, targets: { ...sheet.targets, [target]: { ...before, [bound]: value } } }),
  };
}

/** Every path of the sheet that leads to a quantity with a value, in the order of the sheet. */
export function quantityPaths(sheet: Sheet): string[] {
  const candidates = ['ambient'];
  for (const { node } of sheet.supplies) candidates.push(...below(`supplies.${node}`, supplyRule));
  for (const part of sheet.parts) {
    candidates.push(
      ...['tolerance', 'power', 'position', 'seriesResistance', 'leakage', 'rating', 'area', 'resistance', part.kind].map(
        (key) => `parts.${part.name}.${key}`,
      ),
    );
  }
  for (const device of sheet.devices)
    candidates.push(...below(`devices.${device.name}.${device.kind}`, device.kind === 'diode' ? diodeParameters : bipolarParameters));
  for (const { name } of sheet.heatSinks) candidates.push(`heatSinks.${name}.thermalResistance`);
  candidates.push(...below('drive', driveRule));
  for (const { name } of sheet.loads) candidates.push(...below(`loads.${name}`, loadRule));
  candidates.push(...Object.keys(TARGETS).map((key) => `targets.${key}`));
  return candidates.filter((path) => quantityAt(sheet, path)?.value !== undefined);
}

function below(path: string, rule: Rule<unknown>): string[] {
  return Object.keys(rule.keys ?? {}).map((key) => `${path}.${key}`);
}

/** The keys that a sheet may have at its top, for messages about paths. */
export const TOP_LEVEL_KEYS: readonly string[] = Object.keys(SHEET_KEYS);
