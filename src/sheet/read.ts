/**
 * From text to sheet: read the document by the rules of the contract, look names up, fill defaults in, and report
 * everything that is wrong at once.
 */
import { isMap } from 'yaml';
import type { Device } from '../devices/parameters.ts';
import { checkNames } from './check-names.ts';
import { SHEET_KEYS, type SHEET_OPTIONAL, SHEET_REQUIRED, TARGETS } from './contract.ts';
import { entryKeys, join, keyText, readDocument, type SheetDocument, tooManyAliases } from './document.ts';
import { entriesOf } from './map-rules.ts';
import { suggestion } from './nearest.ts';
import { amplitudeForms } from './part-rules.ts';
import { findDevice, finishPart } from './read-part.ts';
import { readSpread } from './read-spread.ts';
import { Log, own, type Read, spoken } from './rule.ts';
import {
  type Bound,
  type CaptureEntry,
  type Drive,
  GROUND,
  type Load,
  type Part,
  type Problem,
  type Sheet,
  type Supply,
  type TargetName,
} from './types.ts';
import { sheetWarnings } from './warnings.ts';

export interface ReadResult {
  document: SheetDocument;
  /** Null if any problem is an error. */
  sheet: Sheet | null;
  /** Errors and warnings, in the order of the text. */
  problems: Problem[];
}

type Values = { [K in keyof typeof SHEET_REQUIRED]?: Read<(typeof SHEET_REQUIRED)[K]> } & {
  [K in keyof typeof SHEET_OPTIONAL]?: Read<(typeof SHEET_OPTIONAL)[K]>;
};

const ROOM_TEMPERATURE = 298.15; // K, the contract's default ambient
const SOURCE_RESISTANCE = 50; // ohm, the contract's default
// A stage has some thirty transistors; this bound keeps a hostile sheet from taking the reader's time.
const MOST_ENTRIES = 1000;
const METER_RESISTANCE = 10e6; // ohm, the contract's default

/** Read a sheet from YAML or JSON text. Never throws; without errors, `sheet` is the stage in SI units. */
export function readSheet(text: string): ReadResult {
  return readSheetDocument(readDocument(text));
}

/** Read a document that is already parsed. */
export function readSheetDocument(document: SheetDocument): ReadResult {
  if (document.yaml === null || document.problems.length > 0) return { document, sheet: null, problems: [...document.problems] };
  const log = new Log(document);
  const sheet = tooManyAliases(document)
    ? (log.report(0, '', 'too-many-aliases', 'The sheet uses more aliases than a sheet needs; write the values out.') ?? null)
    : readContents(document, log);
  const sound = sheet !== null && !log.problems.some((problem) => problem.severity === 'error');
  if (sound) sheetWarnings(sheet, log);
  const problems = [...log.problems].sort((a, b) => a.place.line - b.place.line || a.place.column - b.place.column);
  return { document, sheet: sound ? sheet : null, problems };
}

function readContents(document: SheetDocument, log: Log): Sheet | null {
  const root = document.yaml?.contents ?? null;
  if (!isMap(root)) {
    log.report(
      0,
      '',
      'not-a-sheet',
      'This is not a sheet: it has no keys. A sheet begins with `footroom: 1` and has `supplies` and `parts`.',
    );
    return null;
  }
  for (const pair of root.items) {
    const path = keyText(pair);
    const { length } = entryKeys(document, path);
    if (length > MOST_ENTRIES)
      log.reportAt(path, 'too-long', `${path} has ${length} entries, and at most ${MOST_ENTRIES} are read; a sheet describes one stage.`);
  }
  if (log.problems.length > 0) return null;
  const values = readTopLevel(root, log);
  const devices = (values.devices ?? []).map(({ name, value }): Device => ({ ...value, name }));
  const parts = readParts(values, devices, log);
  const supplies = (values.supplies ?? []).map(
    ({ name, value }): Supply => ({ node: name, resistance: 0, inductance: 0, ...(typeof value === 'number' ? { volts: value } : value) }),
  );
  const drive = readDrive(values.drive, log);
  const loads = (values.loads ?? []).map(({ name, value }) => readLoad(name, value, log));
  const sheet: Sheet = {
    title: values.title ?? '',
    notes: values.notes ?? '',
    ambient: values.ambient ?? ROOM_TEMPERATURE,
    supplies,
    parts,
    devices,
    heatSinks: (values.heatSinks ?? []).map(({ name, value }) => ({ name, ...value })),
    ...(drive === undefined ? {} : { drive }),
    ...(values.output === undefined ? {} : { output: values.output }),
    loads,
    ...(loads.length === 0 ? {} : { load: values.load ?? loads[0].name }),
    targets: readTargets(values.targets),
    series: { resistors: 'E24', capacitors: 'E6', ...values.series },
    ...(values.drawer === undefined ? {} : { drawer: values.drawer }),
    spread: {},
    ...(values.readings === undefined ? {} : { readings: readReadings(values.readings) }),
    captures: (values.captures ?? []).map(readCapture),
    ...(values.lesson === undefined ? {} : { lesson: values.lesson }),
  };
  checkNames(sheet, values.load, log);
  sheet.spread = readSpread(values.spread ?? [], sheet, log);
  return sheet;
}

/** The top-level keys: what can be read is kept, so that the checks that follow see as much as possible. */
function readTopLevel(root: unknown, log: Log): Values {
  const values: Record<string, unknown> = {};
  if (!isMap(root)) return values;
  const { entries } = entriesOf(root, '', log, (key) => own(SHEET_KEYS, key)?.unit);
  for (const { key, keyOffset, spot } of entries) {
    const rule = own(SHEET_KEYS, key);
    if (rule === undefined)
      log.report(keyOffset, key, 'unknown-key', `There is no key "${key}" in a sheet; ${suggestion(key, Object.keys(SHEET_KEYS))}.`);
    else values[key] = rule.read(spot, log);
  }
  for (const key of Object.keys(SHEET_REQUIRED)) {
    if (!entries.some((entry) => entry.key === key)) log.report(0, key, 'missing-key', missingSentence(key));
  }
  if (!entries.some(({ key }) => key === 'supplies' || key === 'drive'))
    log.report(0, 'supplies', 'missing-key', missingSentence('supplies'));
  return values as Values;
}

function missingSentence(key: string): string {
  if (key === 'footroom') return 'The sheet does not say which format it has; add `footroom: 1` as its first line.';
  if (key === 'supplies') return 'The sheet has no `supplies`; add them as `supplies: { vcc: 12 V }`, or `supplies: {}` if there are none.';
  return 'The sheet has no `parts`; add them, one a line, as `R1: { resistor: 4k7, from: out, to: gnd }`.';
}

function readParts(values: Values, devices: readonly Device[], log: Log): Part[] {
  const known = new Map(devices.map((device) => [device.name, device]));
  const unreadable = new Set(entryKeys(log.document, 'devices').filter((name) => !known.has(name)));
  const parts: Part[] = [];
  for (const { name, value, offset } of values.parts ?? []) {
    const spot = { node: null, path: join('parts', name), offset };
    const device = findDevice(value, spot, known, unreadable, log);
    const part = finishPart(name, value, device);
    if (part !== null) parts.push(part);
  }
  return parts;
}

function readDrive(raw: Values['drive'], log: Log): Drive | undefined {
  if (raw === undefined) return undefined;
  const forms = amplitudeForms.filter((form) => raw[form] !== undefined);
  if (forms.length > 1) reportAmplitudes(forms, log);
  const waveform = raw.waveform ?? (forms.length > 0 ? 'sine' : 'none');
  if (waveform !== 'none' && forms.length === 0) {
    log.reportAt(
      'drive.peakToPeak',
      'missing-key',
      'drive: a waveform needs an amplitude; add one of peakToPeak, peak, rms, or write `waveform: none`.',
    );
  }
  if (waveform !== 'none' && raw.frequency === undefined) {
    log.reportAt('drive.frequency', 'missing-key', 'drive: a waveform needs a `frequency`; add one, such as 440 Hz.');
  }
  if (waveform === 'square' && raw.riseTime !== undefined && raw.frequency !== undefined && raw.riseTime * raw.frequency > 0.5) {
    log.reportAt(
      'drive.riseTime',
      'out-of-range',
      `drive, riseTime: an edge may take at most half the period, ${0.5 / raw.frequency} s here; shorten it.`,
    );
  }
  const [form] = forms;
  const amplitude = form === undefined || waveform === 'none' ? undefined : { form, volts: raw[form] ?? 0 };
  return {
    node: raw.node,
    sourceResistance: raw.sourceResistance ?? SOURCE_RESISTANCE,
    waveform,
    ...(amplitude === undefined ? {} : { amplitude }),
    atNode: raw.at === 'node',
    offset: raw.offset ?? 0,
    ...(raw.frequency === undefined ? {} : { frequency: raw.frequency }),
    ...(raw.riseTime === undefined ? {} : { riseTime: raw.riseTime }),
  };
}

/** Two amplitudes are reported at each of them. */
function reportAmplitudes(forms: readonly string[], log: Log): void {
  for (const form of forms) {
    log.reportAt(`drive.${form}`, 'two-amplitudes', `drive: the amplitude is given as ${forms.join(' and as ')}; keep one of them.`);
  }
}

function readLoad(name: string, raw: Read<(typeof SHEET_OPTIONAL)['loads']>[number]['value'], log: Log): Load {
  if (raw === 'open') return { name, open: true, series: false, to: GROUND };
  const elements = [raw.resistor, raw.capacitor, raw.inductor].filter((value) => value !== undefined).length;
  const path = join('loads', name);
  if (elements === 0 && raw.speaker === undefined && raw.cable === undefined) {
    log.reportAt(
      path,
      'empty-load',
      `${spoken(path)} has nothing in it; give a resistor, capacitor, inductor, speaker or cable, or write \`${name}: open\`.`,
    );
  }
  if (elements > 0 && raw.speaker !== undefined) {
    log.reportAt(
      path,
      'two-kinds',
      `${spoken(path)} is a loudspeaker and has other elements too; keep one, or put the others among the parts.`,
    );
  }
  const { series = false, to = GROUND, ...rest } = raw;
  return { name, open: false, series, to, ...rest };
}

function readTargets(raw: Values['targets']): Sheet['targets'] {
  const targets: Partial<Record<TargetName, Bound>> = {};
  for (const [key, value] of Object.entries(raw ?? {}) as [TargetName, number | Bound][]) {
    targets[key] = typeof value === 'number' ? { [TARGETS[key].sense]: value } : value;
  }
  return targets;
}

function readReadings(raw: NonNullable<Values['readings']>): NonNullable<Sheet['readings']> {
  const meter = raw.find(({ name }) => name === 'meter');
  const nodes = raw.filter(({ name }) => name !== 'meter').map(({ name, value }): [string, number] => [name, value]);
  return { meter: meter?.value ?? METER_RESISTANCE, nodes: Object.fromEntries(nodes) };
}

function readCapture(raw: NonNullable<Values['captures']>[number]): CaptureEntry {
  return { ...raw, traces: raw.traces.map((trace) => ({ attenuation: 1, coupling: 'direct' as const, ...trace })) };
}
