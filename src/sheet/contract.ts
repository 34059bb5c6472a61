/**
 * The keys of a sheet, format 1, as rules. Reader, JSON Schema and paths all come from this table; `sheet.md` in
 * words, this in code.
 */
import { isMap, isScalar } from 'yaml';
import type { BipolarParameters, DiodeParameters, Provenance } from '../devices/parameters.ts';
import { SERIES_NAMES } from '../quantity/index.ts';
import { fittedBipolar, fittedDiode, hasDatasheet, readFittedBipolar, readFittedDiode } from './datasheet-rules.ts';
import { bipolarParameters, diodeParameters } from './device-rules.ts';
import { join, keyText } from './document.ts';
import { anything, list, valueOrMap } from './list-rules.ts';
import { dictionary, map } from './map-rules.ts';
import { loudspeaker, waveformNames } from './part-rules.ts';
import { rawPart } from './read-part.ts';
import { type Log, type Rule, type Spot, spoken, spotOf } from './rule.ts';
import { choice, flag, name, nodeName, quantity, type Range, text } from './scalar-rules.ts';
import type { Bound, TargetName } from './types.ts';

const positive = { above: 0 };
const notNegative = { atLeast: 0 };
/** -100 to 300 °C: beyond it no silicon device works, and a figure is a slip. */
const airTemperature: Range = { atLeast: 173.15, atMost: 573.15 };

const version: Rule<1> = {
  schema: { enum: [1, '1'] },
  read: ({ node, path, offset }, log) => {
    if (isScalar(node) && (node.value === 1 || node.value === '1')) return 1;
    const shown = isScalar(node) ? String(node.value) : 'something else';
    return log.report(
      offset,
      path,
      'unknown-version',
      `footroom: the sheet says format ${shown}, and this program reads format 1; write 1, or take a program that reads ${shown}.`,
    );
  },
};

export const supply = valueOrMap(
  quantity('V'),
  map(
    { volts: quantity('V') },
    {
      resistance: quantity('Ω', notNegative),
      inductance: quantity('H', notNegative),
      tolerance: quantity('share'),
      ripple: map({ peakToPeak: quantity('V', notNegative), frequency: quantity('Hz', positive) }, {}),
    },
  ),
);

/** What one entry of `devices` is read as; its name comes from its key. */
export type DeviceBody =
  | { kind: 'npn' | 'pnp'; parameters: BipolarParameters; provenance?: Provenance }
  | { kind: 'diode'; parameters: DiodeParameters; provenance?: Provenance };

const DEVICE_KINDS = ['npn', 'pnp', 'diode'] as const;

export const device: Rule<DeviceBody> = {
  schema: {
    anyOf: DEVICE_KINDS.map((kind) => {
      const forms = kind === 'diode' ? [diodeParameters.schema, fittedDiode.schema] : [bipolarParameters.schema, fittedBipolar.schema];
      return { type: 'object', properties: { [kind]: { anyOf: forms } }, required: [kind], additionalProperties: false };
    }),
  },
  read: (spot, log) => {
    const keys = isMap(spot.node) ? spot.node.items.map(keyText) : [];
    const [kind, ...others] = DEVICE_KINDS.filter((each) => keys.includes(each));
    if (!isMap(spot.node) || kind === undefined || others.length > 0) {
      return log.report(
        spot.offset,
        spot.path,
        'device-kind',
        `${spoken(spot.path)}: a device is given under one of the keys npn, pnp, diode, as in { npn: { saturationCurrent: 2e-14, forwardBeta: 240, reverseBeta: 3 } }.`,
      );
    }
    let body: DeviceBody | undefined;
    for (const pair of spot.node.items) {
      const key = keyText(pair);
      const inner = spotOf(pair.value, join(spot.path, key), spot.offset, log);
      if (key !== kind)
        log.report(
          spot.offset,
          inner.path,
          'unknown-key',
          `${spoken(spot.path)}: there is no key "${key}" beside \`${kind}\`; put parameters inside { }.`,
        );
      else body = deviceBody(kind, inner, log);
    }
    return keys.length === 1 ? body : undefined;
  },
};

function deviceBody(kind: DeviceBody['kind'], spot: Spot, log: Log): DeviceBody | undefined {
  const byFigures = hasDatasheet(spot);
  if (kind === 'diode') {
    const read = byFigures ? readFittedDiode(spot, log) : withoutProvenance(diodeParameters.read(spot, log));
    return read === undefined ? undefined : { kind, ...read };
  }
  const read = byFigures ? readFittedBipolar(spot, log) : withoutProvenance(bipolarParameters.read(spot, log));
  return read === undefined ? undefined : { kind, ...read };
}

function withoutProvenance<P>(parameters: P | undefined): { parameters: P } | undefined {
  return parameters === undefined ? undefined : { parameters };
}

export const drive = map(
  { node: nodeName },
  {
    sourceResistance: quantity('Ω', notNegative),
    waveform: waveformNames,
    peakToPeak: quantity('V', notNegative),
    peak: quantity('V', notNegative),
    rms: quantity('V', notNegative),
    at: choice(['node']),
    offset: quantity('V'),
    frequency: quantity('Hz', positive),
    riseTime: quantity('s', positive),
  },
);

export const load = valueOrMap(
  choice(['open']),
  map(
    {},
    {
      resistor: quantity('Ω', positive),
      capacitor: quantity('F', positive),
      inductor: quantity('H', positive),
      series: flag,
      speaker: loudspeaker,
      sensitivity: quantity('dB'),
      cable: map({ length: quantity('m', positive), capacitancePerMetre: quantity('F/m', positive) }, {}),
      to: nodeName,
    },
  ),
);

/** Units of the targets, and the sense that a bare number has. */
export const TARGETS: Readonly<Record<TargetName, { rule: Rule<number>; sense: keyof Bound }>> = {
  outputPeakToPeak: { rule: quantity('V', notNegative), sense: 'atLeast' },
  distortion: { rule: quantity('share', positive), sense: 'atMost' },
  lowCorner: { rule: quantity('Hz', notNegative), sense: 'atMost' },
  highCorner: { rule: quantity('Hz', positive), sense: 'atLeast' },
  inputImpedance: { rule: quantity('Ω', notNegative), sense: 'atLeast' },
  outputImpedance: { rule: quantity('Ω', positive), sense: 'atMost' },
  standingCurrent: { rule: quantity('A', positive), sense: 'atMost' },
  supplyPower: { rule: quantity('W', positive), sense: 'atMost' },
  junctionTemperature: { rule: quantity('temperature', positive), sense: 'atMost' },
};

function target(rule: Rule<number>): Rule<number | Bound> {
  return valueOrMap(rule, map({}, { atLeast: rule, atMost: rule }));
}

const targets = map(
  {},
  Object.fromEntries(Object.entries(TARGETS).map(([key, { rule }]) => [key, target(rule)])) as { [K in TargetName]: Rule<number | Bound> },
);

const columnOrNumber: Rule<string | number> = {
  schema: { type: ['string', 'number'] },
  read: ({ node, path, offset }, log) => {
    if (isScalar(node) && (typeof node.value === 'number' || typeof node.value === 'string')) return node.value;
    return log.report(offset, path, 'not-text', `${spoken(path)}: name a column of the file, or its number.`);
  },
};

const capture = map(
  {
    file: text('Name of the file.'),
    traces: list(
      map(
        { column: columnOrNumber, node: nodeName },
        {
          attenuation: quantity('number', positive),
          coupling: choice(['direct', 'alternating']),
          probe: map({ resistance: quantity('Ω', positive), capacitance: quantity('F', notNegative) }, {}),
        },
      ),
      { atLeast: 1 },
    ),
  },
  { time: columnOrNumber, trigger: anything },
);

const series = choice(SERIES_NAMES);

/** A range of `spread`: its unit is that of the path that is its key, so it is read in `read-spread.ts`. */
export const rawRange: Rule<Spot> = {
  schema: { type: 'array', items: { type: ['number', 'string'] }, minItems: 2, maxItems: 2 },
  read: (spot) => spot,
};

export const SHEET_REQUIRED = {
  footroom: version,
  parts: dictionary(rawPart, 'name'),
};

export const SHEET_OPTIONAL = {
  title: text('What the stage is.'),
  notes: text('Any Markdown.'),
  ambient: quantity('temperature', airTemperature),
  // Needed, unless a drive alone feeds the stage.
  supplies: dictionary(supply, 'node'),
  devices: dictionary(device, 'name'),
  heatSinks: dictionary(map({ thermalResistance: quantity('K/W', positive) }, {}), 'name'),
  drive,
  output: nodeName,
  loads: dictionary(load, 'name'),
  load: name,
  targets,
  series: map({}, { resistors: series, capacitors: series }),
  drawer: list(name),
  spread: dictionary(rawRange, 'path'),
  readings: dictionary(rawReading(), 'node'),
  captures: list(capture),
  lesson: anything,
};

/** A reading is in volts; the entry `meter` is a resistance. */
function rawReading(): Rule<number> {
  const volts = quantity('V');
  const ohms = quantity('Ω', positive);
  return {
    schema: volts.schema,
    read: (spot, log) => (spot.path === 'readings.meter' ? ohms : volts).read(spot, log),
  };
}

export const SHEET_KEYS: Readonly<Record<string, Rule<unknown>>> = { ...SHEET_REQUIRED, ...SHEET_OPTIONAL };
