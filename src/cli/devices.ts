/** `footroom devices`: the built-in devices, where their figures come from, and how well each figure is met. */
import { builtinDevice, builtinNames } from '../devices/builtin.ts';
import type { Device } from '../devices/parameters.ts';
import { formatQuantity, UNITS, type Unit } from '../quantity/index.ts';
import { bipolarParameters, diodeParameters } from '../sheet/device-rules.ts';
import { nearestName } from '../sheet/index.ts';
import { onCommandLine, Refusal } from './refusal.ts';

const KINDS = ['npn', 'pnp', 'diode'] as const;
const NOUNS: Record<Device['kind'], string> = { npn: 'NPN transistor', pnp: 'PNP transistor', diode: 'diode' };
/** Parameters span decades, and are given to be used elsewhere. */
const DIGITS = 4;

/** Every device of that name, one for each kind that has it. Throws a Refusal where there is none. */
function devicesNamed(name: string): Device[] {
  const found = KINDS.map((kind) => builtinDevice(name, kind)).filter((device) => device !== null);
  if (found.length > 0) return found;
  const near = nearestName(name, builtinNames());
  const remedy = near === null ? '"footroom devices" lists them.' : `is ${near} meant?`;
  throw new Refusal([onCommandLine(name, 'unknown-device', `There is no built-in device "${name}"; ${remedy}`)]);
}

function said(value: number, unit: string): string {
  return Object.hasOwn(UNITS, unit)
    ? formatQuantity(value, unit as Unit, { digits: DIGITS })
    : `${value.toPrecision(DIGITS)} ${unit}`.trimEnd();
}

/** Rows with their columns aligned. */
function table(rows: string[][], indent: string): string[] {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  return rows.map(
    (row) =>
      indent +
      row
        .map((cell, column) => cell.padEnd(widths[column]))
        .join('  ')
        .trimEnd(),
  );
}

function pointLines({ provenance }: Device): string[] {
  const points = provenance?.points ?? [];
  if (points.length === 0) return [];
  const head = ['figure', 'at', 'wanted', 'met', 'residual', 'source'];
  const rows = points.map(({ quantity, at, wanted, met, unit, source }) => {
    const residual = wanted === 0 ? said(met - wanted, unit) : formatQuantity((met - wanted) / wanted, 'share', { digits: 2 });
    return [quantity, at, said(wanted, unit), said(met, unit), residual, source];
  });
  return ['', ...table([head, ...rows], '  ')];
}

function parameterLines(device: Device): string[] {
  const rules = (device.kind === 'diode' ? diodeParameters : bipolarParameters).keys ?? {};
  const rows = Object.entries(device.parameters as unknown as Record<string, unknown>)
    .filter((entry): entry is [string, number] => typeof entry[1] === 'number')
    .map(([key, value]) => [key, said(value, rules[key]?.unit ?? 'number')]);
  return ['', ...table(rows, '  ')];
}

function deviceLines(device: Device): string[] {
  const source = device.provenance === undefined ? [] : [`  ${device.provenance.source}`];
  return [`${device.name}, ${NOUNS[device.kind]}`, ...source, ...pointLines(device), ...parameterLines(device), ''];
}

function listLines(): string[] {
  const rows = builtinNames().map((name) => [
    name,
    devicesNamed(name)
      .map(({ kind }) => NOUNS[kind])
      .join(', '),
  ]);
  return table(rows, '');
}

/** Runs `footroom devices`: the list, or one device whole. */
export function runDevices(name: string | undefined, options: { json?: boolean }): void {
  if (options.json) {
    const devices = (name === undefined ? builtinNames() : [name]).flatMap(devicesNamed);
    console.log(JSON.stringify({ format: 1, devices }));
  } else console.log((name === undefined ? listLines() : devicesNamed(name).flatMap(deviceLines)).join('\n').trimEnd());
}
