/**
 * The flat network of a sheet: numbered nodes, two-terminal elements, branches with a current of their own
 * (sources, inductors, exact links) and junction devices between internal nodes. Ground is node -1.
 */
import type { BipolarParameters, DiodeParameters } from '../devices/parameters.ts';
import { GROUND, type Load, type Loudspeaker, type Part, type Sheet } from '../sheet/types.ts';

export interface ResistorElement {
  /** Designator of the part it belongs to; a load's elements carry the load's name and `ofLoad`. */
  part: string;
  a: number;
  b: number;
  resistance: number;
  ofLoad?: boolean;
  /** A resistance inside a part: a device's, a capacitor's leakage. */
  inner?: 'base' | 'collector' | 'emitter' | 'diode' | 'series' | 'leakage' | 'motion';
}
export interface CapacitorElement {
  part: string;
  a: number;
  b: number;
  capacitance: number;
  ofLoad?: boolean;
  inner?: 'motion';
}
export interface CurrentElement {
  part: string;
  a: number;
  b: number;
  amperes: number;
  /** Of a held inductor's current in a transfer network: its index among the branches of the network it comes from. */
  inductor?: number;
}
/** v(a) - v(b) - R i - L di/dt = emf, with i flowing from a through the branch to b. */
export interface BranchElement {
  part: string;
  a: number;
  b: number;
  resistance: number;
  inductance: number;
  emf: number;
  kind: 'supply' | 'generator' | 'voltage' | 'inductor' | 'link' | 'held';
  ofLoad?: boolean;
  inner?: 'motion' | 'upper' | 'lower';
  /** Of a held capacitor's branch in a transfer network: its index among the capacitors of the network it comes from. */
  capacitor?: number;
}
export interface TransistorElement {
  part: string;
  /** +1 for NPN, -1 for PNP. */
  sign: 1 | -1;
  /** Internal nodes, behind r_C, r_B, r_E. */
  collector: number;
  base: number;
  emitter: number;
  outer: { collector: number; base: number; emitter: number };
  parameters: BipolarParameters;
  area: number;
  heatSink?: string;
}
export interface DiodeElement {
  part: string;
  anode: number;
  cathode: number;
  outerAnode: number;
  parameters: DiodeParameters;
  area: number;
  heatSink?: string;
}

export interface Network {
  /** Names of the nodes; the first `named` are the sheet's, the others internal (`Q1.base`). */
  nodes: string[];
  named: number;
  resistors: ResistorElement[];
  capacitors: CapacitorElement[];
  currents: CurrentElement[];
  branches: BranchElement[];
  transistors: TransistorElement[];
  diodes: DiodeElement[];
  /** Index of the generator among the branches, -1 without a drive. */
  generator: number;
  /** Node of the drive and of the output; -2 where the sheet has none, -1 is ground. */
  driveNode: number;
  outputNode: number;
  /** Where the connected load returns to. */
  loadReturn: number;
}

/** Number of unknowns: node voltages, then branch currents. */
export function unknownsOf(network: Network): number {
  return network.nodes.length + network.branches.length;
}

/** The load connected now, or undefined where the output is open. */
export function connectedLoad(sheet: Sheet): Load | undefined {
  const load = sheet.loads.find((l) => l.name === sheet.load) ?? sheet.loads[0];
  return load && !load.open ? load : undefined;
}

class Builder {
  readonly network: Network = {
    nodes: [],
    named: 0,
    resistors: [],
    capacitors: [],
    currents: [],
    branches: [],
    transistors: [],
    diodes: [],
    generator: -1,
    driveNode: -2,
    outputNode: -2,
    loadReturn: -1,
  };
  private index = new Map<string, number>([[GROUND, -1]]);

  node(name: string): number {
    let i = this.index.get(name);
    if (i === undefined) {
      i = this.network.nodes.length;
      this.network.nodes.push(name);
      this.index.set(name, i);
    }
    return i;
  }

  /** A node of the program's own: its name has a dot, which no sheet's node can have. */
  private innerNode(part: string, what: string): number {
    return this.node(`${part}.${what}`);
  }

  private resistor(part: string, a: number, b: number, resistance: number, more: Partial<ResistorElement> = {}): void {
    this.network.resistors.push({ part, a, b, resistance, ...more });
  }

  private branch(part: string, a: number, b: number, kind: BranchElement['kind'], more: Partial<BranchElement> = {}): void {
    // A link between a node and itself (a trimmer's wiper tied to its own end) has no equation.
    if (kind === 'link' && a === b) return;
    this.network.branches.push({ part, a, b, resistance: 0, inductance: 0, emf: 0, kind, ...more });
  }

  /** The internal node behind a terminal's resistance, the terminal itself where there is none. */
  private behind(part: string, what: 'base' | 'collector' | 'emitter' | 'diode', outer: number, resistance: number): number {
    if (!(resistance > 0)) return outer;
    const inner = this.innerNode(part, what);
    this.resistor(part, outer, inner, resistance, { inner: what });
    return inner;
  }

  part(p: Part): void {
    if (p.lifted) return;
    switch (p.kind) {
      case 'npn':
      case 'pnp':
        this.transistor(p);
        return;
      case 'diode': {
        const outerAnode = this.node(p.anode);
        const cathode = this.node(p.cathode);
        if (p.shorted) {
          this.branch(p.name, outerAnode, cathode, 'link');
          return;
        }
        const anode = this.behind(p.name, 'diode', outerAnode, (p.parameters.seriesResistance ?? 0) / p.area);
        const { parameters, area, heatSink } = p;
        this.network.diodes.push({ part: p.name, anode, cathode, outerAnode, parameters, area, heatSink });
        return;
      }
      default:
        this.twoTerminal(p);
        return;
    }
  }

  private transistor(p: Extract<Part, { collector: string }>): void {
    const outer = { collector: this.node(p.collector), base: this.node(p.base), emitter: this.node(p.emitter) };
    if (p.shorted) {
      this.branch(p.name, outer.collector, outer.emitter, 'link');
      return;
    }
    const { parameters, area, heatSink } = p;
    this.network.transistors.push({
      part: p.name,
      sign: p.kind === 'npn' ? 1 : -1,
      collector: this.behind(p.name, 'collector', outer.collector, (parameters.collectorResistance ?? 0) / area),
      base: this.behind(p.name, 'base', outer.base, (parameters.baseResistance ?? 0) / area),
      emitter: this.behind(p.name, 'emitter', outer.emitter, (parameters.emitterResistance ?? 0) / area),
      outer,
      parameters,
      area,
      heatSink,
    });
  }

  private twoTerminal(p: Exclude<Part, { collector: string } | { anode: string }>): void {
    const a = this.node(p.from);
    const b = this.node(p.to);
    if (p.shorted) {
      this.branch(p.name, a, b, 'link');
      return;
    }
    switch (p.kind) {
      case 'resistor':
        this.resistor(p.name, a, b, p.resistance);
        return;
      case 'trimmer': {
        const wiper = this.node(p.wiper);
        this.track(p.name, a, wiper, p.resistance * p.position, 'upper');
        this.track(p.name, wiper, b, p.resistance * (1 - p.position), 'lower');
        return;
      }
      case 'capacitor': {
        let plate = a;
        if (p.seriesResistance > 0) {
          plate = this.innerNode(p.name, 'plate');
          this.resistor(p.name, a, plate, p.seriesResistance, { inner: 'series' });
        }
        this.network.capacitors.push({ part: p.name, a: plate, b, capacitance: p.capacitance });
        if (p.leakage > 0 && p.rating !== undefined) this.resistor(p.name, plate, b, p.rating / p.leakage, { inner: 'leakage' });
        return;
      }
      case 'inductor':
        this.branch(p.name, a, b, 'inductor', { inductance: p.inductance, resistance: p.seriesResistance });
        return;
      case 'voltage':
        this.branch(p.name, a, b, 'voltage', { emf: p.volts, resistance: p.resistance });
        return;
      case 'current':
        this.network.currents.push({ part: p.name, a, b, amperes: p.amperes });
        return;
      case 'speaker':
        this.speaker(p.name, a, b, p.speaker);
        return;
    }
  }

  /** Half of a trimmer's track; an empty half is an exact link. */
  private track(part: string, a: number, b: number, resistance: number, inner: 'upper' | 'lower'): void {
    this.branch(part, a, b, 'link', { resistance, inner });
  }

  /** Voice coil in series with the motional circuit R = R_e Q_m/Q_e, L = R_e/(2 pi f_0 Q_e), C = Q_e/(2 pi f_0 R_e). */
  private speaker(part: string, a: number, b: number, s: Loudspeaker, ofLoad?: boolean): void {
    const { resonance, mechanicalQ, electricalQ } = s;
    const moves = resonance !== undefined && mechanicalQ !== undefined && electricalQ !== undefined;
    const end = moves ? this.innerNode(part, 'motion') : b;
    this.branch(part, a, end, 'inductor', { resistance: s.resistance, inductance: s.inductance, ofLoad });
    if (!moves) return;
    const omega = 2 * Math.PI * resonance;
    this.resistor(part, end, b, (s.resistance * mechanicalQ) / electricalQ, { inner: 'motion', ofLoad });
    this.branch(part, end, b, 'inductor', { inductance: s.resistance / (omega * electricalQ), inner: 'motion', ofLoad });
    this.network.capacitors.push({ part, a: end, b, capacitance: electricalQ / (omega * s.resistance), inner: 'motion', ofLoad });
  }

  load(load: Load, output: number): void {
    const back = this.node(load.to);
    this.network.loadReturn = back;
    const part = load.name;
    const ofLoad = true;
    if (load.cable) {
      this.network.capacitors.push({ part, a: output, b: back, capacitance: load.cable.length * load.cable.capacitancePerMetre, ofLoad });
    }
    if (load.speaker) {
      this.speaker(part, output, back, load.speaker, true);
      return;
    }
    const { resistor, capacitor, inductor } = load;
    if (!load.series) {
      if (resistor !== undefined) this.resistor(part, output, back, resistor, { ofLoad });
      if (capacitor !== undefined) this.network.capacitors.push({ part, a: output, b: back, capacitance: capacitor, ofLoad });
      if (inductor !== undefined) this.branch(part, output, back, 'inductor', { inductance: inductor, ofLoad });
      return;
    }
    let end = output;
    if (capacitor !== undefined) {
      const next = resistor === undefined && inductor === undefined ? back : this.innerNode(part, 'plate');
      this.network.capacitors.push({ part, a: end, b: next, capacitance: capacitor, ofLoad });
      end = next;
    }
    if (inductor !== undefined) this.branch(part, end, back, 'inductor', { inductance: inductor, resistance: resistor ?? 0, ofLoad });
    else if (resistor !== undefined) this.resistor(part, end, back, resistor, { ofLoad });
  }

  supply(s: Sheet['supplies'][number]): void {
    this.branch(s.node, this.node(s.node), -1, 'supply', { emf: s.volts, resistance: s.resistance, inductance: s.inductance });
  }

  generator(drive: NonNullable<Sheet['drive']>): void {
    const node = this.node(drive.node);
    this.network.driveNode = node;
    this.network.generator = this.network.branches.length;
    this.branch('drive', node, -1, 'generator', { emf: drive.offset, resistance: drive.sourceResistance });
  }
}

/** Every node that a sheet names, in the order of supplies, parts, drive and output. */
export function nodesOf(sheet: Sheet): string[] {
  const names = new Set<string>(sheet.supplies.map((s) => s.node));
  for (const p of sheet.parts) {
    if ('collector' in p) for (const n of [p.collector, p.base, p.emitter]) names.add(n);
    else if ('anode' in p) for (const n of [p.anode, p.cathode]) names.add(n);
    else {
      names.add(p.from);
      names.add(p.to);
      if (p.kind === 'trimmer') names.add(p.wiper);
    }
  }
  if (sheet.drive) names.add(sheet.drive.node);
  if (sheet.output) names.add(sheet.output);
  names.delete(GROUND);
  return [...names];
}

/**
 * Flattens a sheet with its connected load. The generator's branch carries its offset; what changes with time is set by
 * the solvers in the kernel's values. Nodes that only lifted parts touch are left out.
 */
export function flatten(sheet: Sheet): Network {
  const builder = new Builder();
  const sound = { ...sheet, parts: sheet.parts.filter((p) => !p.lifted) };
  for (const name of nodesOf(sound)) builder.node(name);
  const load = connectedLoad(sheet);
  if (load && sheet.output) builder.node(load.to);
  builder.network.named = builder.network.nodes.length;
  for (const s of sheet.supplies) builder.supply(s);
  for (const p of sound.parts) builder.part(p);
  if (sheet.output) {
    builder.network.outputNode = builder.node(sheet.output);
    if (load) builder.load(load, builder.network.outputNode);
  }
  if (sheet.drive) builder.generator(sheet.drive);
  return builder.network;
}
