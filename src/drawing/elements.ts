/**
 * The sheet as things to draw: every part, the elements of the connected load and the generator, each with its
 * terminals, its label and its size; and which nodes are terminals (supplies and ground).
 */
import { type Drive, GROUND, type Load, type Part, type Sheet } from '../sheet/types.ts';
import { amperageText, capacitanceText, inductanceText, resistanceText, voltageText } from './format.ts';
import type { Owner, Span, SymbolKind } from './plan.ts';

export interface Element {
  id: string;
  owner: Owner;
  kind: SymbolKind;
  first: string;
  second: string;
  /** Base of a transistor, wiper of a trimmer. */
  control?: string;
  /** Lines of its label; empty for elements that carry none. */
  lines: Span[][];
  polarized: boolean;
  description: string;
  /** What a bench verb did to it. */
  bench?: 'lifted' | 'shorted';
}

export interface Circuit {
  elements: Element[];
  /** Volts of the nodes that a supply or ground holds. */
  terminals: Map<string, number>;
  top: string | null;
  bottom: string;
  drive?: { node: string };
  output?: string;
  loadName?: string;
  /** True where the connected load is open. */
  loadOpen: boolean;
  loadTo?: string;
}

/** Names that no sheet can contain: nodes that exist on the drawing only. */
const INNER = '\u0000';
/** Whether a node exists on the drawing only and has neither name nor volts. */
export const isInner = (node: string): boolean => node.startsWith(INNER);

const designator = (text: string): Span => ({ role: 'designator', text });
const value = (text: string): Span => ({ role: 'value', text });

/** Light-emitting diodes are told by what they are: a drop far above silicon's needs a tiny saturation current. */
const LED_SATURATION = 1e-15;

function ofPart(part: Part): Element {
  const bench = part.lifted ? ('lifted' as const) : part.shorted ? ('shorted' as const) : undefined;
  const base = { id: part.name, owner: 'part' as const, polarized: false, bench };
  const named = (text: string): Span[][] => [[designator(part.name)], [value(text)]];
  const between = (what: string, from: string, to: string): string => `${part.name}, ${what}, from ${from} to ${to}`;
  switch (part.kind) {
    case 'npn':
    case 'pnp':
      return {
        ...base,
        kind: part.kind,
        first: part.collector,
        second: part.emitter,
        control: part.base,
        lines: [[designator(part.name)], [{ role: 'value', text: 'β 000', slot: { kind: 'device', part: part.name } }]],
        description: `${part.name}, ${part.kind.toUpperCase()} transistor ${part.device}, collector ${part.collector}, base ${part.base}, emitter ${part.emitter}`,
      };
    case 'diode': {
      const led = part.device === 'led' || (part.parameters.saturationCurrent < LED_SATURATION && (part.parameters.ideality ?? 1) > 1.4);
      return {
        ...base,
        kind: led ? 'led' : 'diode',
        first: part.anode,
        second: part.cathode,
        lines: named(led ? 'LED' : part.device),
        description: `${part.name}, ${led ? 'light-emitting diode' : `diode ${part.device}`}, anode ${part.anode}, cathode ${part.cathode}`,
      };
    }
    case 'resistor': {
      const text = resistanceText(part.resistance);
      return {
        ...base,
        kind: 'resistor',
        first: part.from,
        second: part.to,
        lines: named(text),
        description: between(text, part.from, part.to),
      };
    }
    case 'trimmer': {
      const text = resistanceText(part.resistance);
      return {
        ...base,
        kind: 'trimmer',
        first: part.from,
        second: part.to,
        control: part.wiper,
        lines: named(text),
        description: `${between(`trimmer ${text}`, part.from, part.to)}, wiper ${part.wiper}`,
      };
    }
    case 'capacitor': {
      const text = capacitanceText(part.capacitance);
      return {
        ...base,
        kind: 'capacitor',
        first: part.from,
        second: part.to,
        polarized: part.polarized,
        lines: named(text),
        description: between(text, part.from, part.to),
      };
    }
    case 'inductor': {
      const text = inductanceText(part.inductance);
      return {
        ...base,
        kind: 'inductor',
        first: part.from,
        second: part.to,
        lines: named(text),
        description: between(text, part.from, part.to),
      };
    }
    case 'voltage': {
      const text = voltageText(part.volts);
      return {
        ...base,
        kind: 'voltage',
        first: part.from,
        second: part.to,
        lines: named(text),
        description: between(text, part.from, part.to),
      };
    }
    case 'current': {
      const text = amperageText(part.amperes);
      return {
        ...base,
        kind: 'current',
        first: part.from,
        second: part.to,
        lines: named(text),
        description: between(text, part.from, part.to),
      };
    }
    case 'speaker': {
      const text = resistanceText(part.speaker.resistance);
      return {
        ...base,
        kind: 'speaker',
        first: part.from,
        second: part.to,
        lines: named(text),
        description: between(`loudspeaker of ${text}`, part.from, part.to),
      };
    }
  }
}

function ofLoad(load: Load, output: string): Element[] {
  const found: { kind: SymbolKind; text: string; key: string }[] = [];
  if (load.resistor !== undefined) found.push({ kind: 'resistor', text: resistanceText(load.resistor), key: 'resistor' });
  if (load.speaker) found.push({ kind: 'speaker', text: resistanceText(load.speaker.resistance), key: 'speaker' });
  if (load.inductor !== undefined) found.push({ kind: 'inductor', text: inductanceText(load.inductor), key: 'inductor' });
  let farads = load.capacitor ?? 0;
  if (load.cable) farads += load.cable.length * load.cable.capacitancePerMetre;
  if (farads > 0) found.push({ kind: 'capacitor', text: capacitanceText(farads), key: 'capacitor' });
  return found.map(({ kind, text, key }, index) => ({
    id: `load ${key}`,
    owner: 'load',
    kind,
    first: load.series && index > 0 ? `${INNER}load${index}` : output,
    second: load.series && index < found.length - 1 ? `${INNER}load${index + 1}` : load.to,
    lines: index === 0 ? [[designator(load.name)], [value(text)]] : [[value(text)]],
    polarized: false,
    description: `Load ${load.name}, ${text}, from ${output} to ${load.to}`,
  }));
}

/** The generator, and its source resistance where it has one. */
function ofDrive(drive: Drive): Element[] {
  const small = (text: string): Span => ({ role: 'small', text });
  const amplitude = drive.amplitude;
  const form = amplitude && { peakToPeak: 'p-p', peak: 'peak', rms: 'rms' }[amplitude.form];
  const size = amplitude ? `${voltageText(amplitude.volts)} ${form}` : '';
  const emf = drive.sourceResistance > 0 ? `${INNER}emf` : drive.node;
  const generator: Element = {
    id: 'drive generator',
    owner: 'drive',
    kind: 'generator',
    first: emf,
    second: GROUND,
    lines: [[small(drive.waveform)], [{ role: 'small', text: size, slot: { kind: 'drive' } }]],
    polarized: false,
    description: `Generator, ${drive.waveform}${size ? `, ${size}` : ''}, feeds ${drive.node}`,
  };
  if (drive.sourceResistance === 0) return [generator];
  const text = resistanceText(drive.sourceResistance);
  return [
    {
      id: 'drive resistance',
      owner: 'drive',
      kind: 'resistor',
      first: drive.node,
      second: emf,
      lines: [[value(text)], [small('source')]],
      polarized: false,
      description: `Source resistance, ${text}`,
    },
    generator,
  ];
}

/** An open circle at which a node ends, `side` of everything else on it. */
export function endOf(node: string, side: 'left' | 'right'): Element {
  const beyond = `${INNER}end ${node} ${side}`;
  return {
    id: `end ${node} ${side}`,
    owner: 'drive',
    kind: 'end',
    first: side === 'left' ? beyond : node,
    second: side === 'left' ? node : beyond,
    lines: [],
    polarized: false,
    description: '',
  };
}

/** What there is to draw of a sheet; narrow drawings show the input's terminal in place of the generator. */
export function circuitOf(sheet: Sheet, generator: boolean): Circuit {
  const terminals = new Map<string, number>([[GROUND, 0]]);
  for (const supply of sheet.supplies) terminals.set(supply.node, supply.volts);
  let top: string | null = null;
  let bottom = GROUND;
  for (const [node, volts] of terminals) {
    if (volts > (top === null ? 0 : (terminals.get(top) ?? 0))) top = node;
    if (volts < (terminals.get(bottom) ?? 0)) bottom = node;
  }
  if (top === null && bottom !== GROUND) top = GROUND;
  const elements = sheet.parts.map(ofPart);
  const load = sheet.loads.find((l) => l.name === sheet.load) ?? sheet.loads[0];
  if (load && !load.open && sheet.output !== undefined) elements.push(...ofLoad(load, sheet.output));
  else if (sheet.output !== undefined && !terminals.has(sheet.output)) elements.push(endOf(sheet.output, 'right'));
  if (sheet.drive && generator) elements.push(...ofDrive(sheet.drive));
  else if (sheet.drive && !terminals.has(sheet.drive.node)) elements.push(endOf(sheet.drive.node, 'left'));
  return {
    elements,
    terminals,
    top,
    bottom,
    drive: sheet.drive && { node: sheet.drive.node },
    output: sheet.output,
    loadName: load?.name,
    loadOpen: !load || load.open,
    loadTo: load?.to,
  };
}

export const isTransistor = (e: Element): boolean => e.kind === 'npn' || e.kind === 'pnp';

/** Parts that carry a resting current from their first to their second terminal. */
export function conducts(e: Element): boolean {
  return e.kind !== 'capacitor' && e.kind !== 'generator' && e.kind !== 'end';
}

/** Distance of the terminals from the middle along the leg. */
export function halfLength(kind: SymbolKind): number {
  switch (kind) {
    case 'resistor':
    case 'trimmer':
    case 'inductor':
      return 21;
    case 'npn':
    case 'pnp':
      return 17;
    case 'generator':
    case 'voltage':
    case 'current':
      return 16;
    case 'speaker':
      return 12;
    case 'diode':
    case 'led':
      return 7;
    case 'capacitor':
      return 3.5;
    case 'end':
      return 0;
  }
}

/** Distance of the body's side from the leg: the plain side, and the side with envelope, horn or light. */
export function halfWidth(kind: SymbolKind): number {
  switch (kind) {
    case 'resistor':
    case 'trimmer':
    case 'inductor':
      return 7;
    case 'generator':
    case 'voltage':
    case 'current':
      return 16;
    case 'speaker':
      return 17;
    case 'diode':
    case 'led':
      return 8;
    case 'capacitor':
      return 13;
    case 'npn':
    case 'pnp':
      return 11;
    case 'end':
      return 3.5;
  }
}
