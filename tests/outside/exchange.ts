/**
 * A stage as plain elements on numbered nodes, written out for solvers that know nothing of the engine: the same facts as
 * JSON (SciPy) and as lines of words and numbers (the C++ program on SUNDIALS IDA). Made from the sheet alone.
 */
import type { Sheet } from '../../src/sheet/types.ts';

/** Ends are numbers of unknown nodes from 0, or of known nodes from -1 downwards (-1 is ground). */
export interface Element {
  kind: 'resistor' | 'capacitor' | 'inductor' | 'current' | 'voltage' | 'transistor' | 'diode';
  ends: number[];
  values: Record<string, number>;
}
export interface FlatStage {
  /** Names of the unknown nodes, in order; internal nodes of devices have a colon in their name. */
  nodes: string[];
  /** Volts of the known nodes -1, -2, ... at rest. */
  known: number[];
  /** The known node that carries the drive, or 0 without one. */
  driven: number;
  drive: { peak: number; frequency: number };
  temperature: number;
  elements: Element[];
  output: number;
}

/** The sheet's elements with the present load. Throws on what the outside programs do not know. */
export function flatten(sheet: Sheet): FlatStage {
  const known = new Map<string, number>([['gnd', 0]]);
  for (const supply of sheet.supplies) {
    if (supply.inductance !== 0) throw new Error('a supply with inductance is not exchanged');
    known.set(supply.resistance === 0 ? supply.node : `${supply.node}:emf`, supply.volts);
  }
  const drive = sheet.drive;
  if (drive === undefined || drive.atNode || drive.amplitude === undefined || drive.waveform !== 'sine') {
    throw new Error('only sine drives by electromotive force are exchanged');
  }
  if (drive.sourceResistance <= 0) throw new Error('the drive needs a source resistance here');
  known.set(':emf', drive.offset);
  const order = [...known.keys()];
  const nodes: string[] = [];
  const index = (name: string): number => {
    const fixed = order.indexOf(name);
    if (fixed >= 0) return -1 - fixed;
    if (!nodes.includes(name)) nodes.push(name);
    return nodes.indexOf(name);
  };
  const elements: Element[] = [];
  const add = (kind: Element['kind'], ends: string[], values: Record<string, number>): void => {
    elements.push({ kind, ends: ends.map(index), values });
  };
  /** A node behind a resistance, or the node itself when there is none. */
  const behind = (node: string, inner: string, ohms: number): string => {
    if (ohms === 0) return node;
    add('resistor', [node, inner], { ohms });
    return inner;
  };
  add('resistor', [':emf', drive.node], { ohms: drive.sourceResistance });
  for (const { node, resistance } of sheet.supplies) if (resistance !== 0) add('resistor', [`${node}:emf`, node], { ohms: resistance });
  for (const part of sheet.parts) {
    switch (part.kind) {
      case 'resistor':
        add('resistor', [part.from, part.to], { ohms: part.resistance });
        break;
      case 'trimmer':
        if (part.position === 0 || part.position === 1) throw new Error('a trimmer at its end is not exchanged');
        add('resistor', [part.from, part.wiper], { ohms: part.resistance * part.position });
        add('resistor', [part.wiper, part.to], { ohms: part.resistance * (1 - part.position) });
        break;
      case 'capacitor':
        if (part.leakage !== 0) throw new Error('leakage is not exchanged');
        add('capacitor', [behind(part.from, `${part.name}:plate`, part.seriesResistance), part.to], { farads: part.capacitance });
        break;
      case 'inductor':
        add('inductor', [behind(part.from, `${part.name}:coil`, part.seriesResistance), part.to], { henries: part.inductance });
        break;
      case 'current':
        add('current', [part.from, part.to], { amperes: part.amperes });
        break;
      case 'voltage':
        add('voltage', [behind(part.from, `${part.name}:source`, part.resistance), part.to], { volts: part.volts });
        break;
      case 'diode': {
        const { seriesResistance = 0, ...parameters } = part.parameters;
        add('diode', [behind(part.anode, `${part.name}:anode`, seriesResistance / part.area), part.cathode], {
          area: part.area,
          ...numbersOf(parameters),
        });
        break;
      }
      case 'npn':
      case 'pnp': {
        const { baseResistance = 0, emitterResistance = 0, collectorResistance = 0, ...parameters } = part.parameters;
        add(
          'transistor',
          [
            behind(part.collector, `${part.name}:collector`, collectorResistance / part.area),
            behind(part.base, `${part.name}:base`, baseResistance / part.area),
            behind(part.emitter, `${part.name}:emitter`, emitterResistance / part.area),
          ],
          { polarity: part.kind === 'npn' ? 1 : -1, area: part.area, ...numbersOf(parameters) },
        );
        break;
      }
      default:
        throw new Error(`a ${part.kind} is not exchanged`);
    }
  }
  const load = sheet.loads.find((candidate) => candidate.name === sheet.load);
  if (load !== undefined && !load.open) {
    if (load.series || load.speaker !== undefined || load.inductor !== undefined)
      throw new Error('only parallel R and C loads are exchanged');
    if (load.resistor !== undefined) add('resistor', [sheet.output!, load.to], { ohms: load.resistor });
    const capacitance = (load.capacitor ?? 0) + (load.cable === undefined ? 0 : load.cable.length * load.cable.capacitancePerMetre);
    if (capacitance > 0) add('capacitor', [sheet.output!, load.to], { farads: capacitance });
  }
  const peak = { peakToPeak: 0.5, peak: 1, rms: Math.SQRT2 }[drive.amplitude.form] * drive.amplitude.volts;
  return {
    nodes,
    known: [...known.values()],
    driven: index(':emf'),
    drive: { peak, frequency: drive.frequency! },
    temperature: sheet.ambient,
    elements,
    output: index(sheet.output!),
  };
}

/** The plain numbers among a device's parameters; ranges and ratings take no part in the equations. */
function numbersOf(parameters: object): Record<string, number> {
  return Object.fromEntries(Object.entries(parameters).filter(([, value]) => typeof value === 'number')) as Record<string, number>;
}

/** The stage as lines of words: a kind, its ends, then pairs of name and value. */
export function asLines(stage: FlatStage): string {
  const lines = [
    `unknowns ${stage.nodes.length}`,
    `known ${stage.known.length} ${stage.known.join(' ')}`,
    `drive ${stage.driven} ${stage.drive.peak} ${stage.drive.frequency}`,
    `temperature ${stage.temperature}`,
    `output ${stage.output}`,
    ...stage.elements.map(
      ({ kind, ends, values }) =>
        `element ${kind} ${ends.length} ${ends.join(' ')} ${Object.keys(values).length} ${Object.entries(values).flat().join(' ')}`,
    ),
  ];
  return `${lines.join('\n')}\n`;
}
