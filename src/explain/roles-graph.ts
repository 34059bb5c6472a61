/**
 * What a signal sees of a sheet: which nodes are one node to it, which of them are signal ground, and how far every node
 * is from the generator and from the output. Names and order of parts play no part.
 */
import { connectedLoad } from '../circuit/network.ts';
import { GROUND, type NodeName, type Part, type Sheet, type Transistor } from '../sheet/types.ts';

/** Sets of names, joined pair by pair. */
class Sets {
  private readonly above = new Map<NodeName, NodeName>();
  of(node: NodeName): NodeName {
    const next = this.above.get(node);
    return next === undefined ? node : this.of(next);
  }
  join(a: NodeName, b: NodeName): void {
    const [p, q] = [this.of(a), this.of(b)];
    if (p !== q) this.above.set(p, q);
  }
}

/** kT/q near 25 °C, V: good enough to tell a short from an open. */
const ROOM_TEMPERATURE_VOLTAGE = 0.0257;
/** Ohm, stands in for a generator without resistance. */
const SMALLEST = 1e-3;

export interface TwoEnded {
  name: string;
  a: NodeName;
  b: NodeName;
  /** Ohm; infinite for a path that the signal may take in one sense or another, of a resistance not known here. */
  resistance: number;
}
export const isTransistor = (part: Part): part is Transistor => part.kind === 'npn' || part.kind === 'pnp';

/** Paths of a part that are resistors to signal and to direct current. */
function resistors(part: Part): TwoEnded[] {
  if (part.lifted || part.shorted) return [];
  switch (part.kind) {
    case 'resistor':
      return [{ name: part.name, a: part.from, b: part.to, resistance: part.resistance }];
    case 'trimmer':
      return [
        { name: part.name, a: part.from, b: part.wiper, resistance: part.resistance * part.position },
        { name: part.name, a: part.wiper, b: part.to, resistance: part.resistance * (1 - part.position) },
      ].filter((half) => half.a !== half.b);
    case 'speaker':
      return [{ name: part.name, a: part.from, b: part.to, resistance: part.speaker.resistance }];
    default:
      return [];
  }
}

export class SignalGraph {
  readonly sheet: Sheet;
  readonly transistors: Transistor[];
  readonly resistors: TwoEnded[];
  readonly diodes: { name: string; a: NodeName; b: NodeName }[];
  private readonly direct = new Sets();
  private readonly signal = new Sets();

  constructor(sheet: Sheet) {
    this.sheet = sheet;
    const parts = sheet.parts.filter((part) => !part.lifted);
    this.transistors = parts.filter(isTransistor).filter((part) => !part.shorted);
    this.resistors = parts.flatMap(resistors);
    this.diodes = parts.flatMap((p) => (p.kind === 'diode' && !p.shorted ? [{ name: p.name, a: p.anode, b: p.cathode }] : []));
    for (const part of parts) this.link(part);
    for (const supply of sheet.supplies) this.signal.join(supply.node, GROUND);
    for (const part of parts) if (part.kind === 'voltage') this.signal.join(part.from, part.to);
    this.joinReactive(parts);
  }

  /** A shorted part makes one node of two. */
  private link(part: Part): void {
    if (!part.shorted) return;
    const [a, b] = isTransistor(part)
      ? [part.collector, part.emitter]
      : part.kind === 'diode'
        ? [part.anode, part.cathode]
        : [part.from, part.to];
    this.direct.join(a, b);
    this.signal.join(a, b);
  }

  /**
   * Capacitors nearer short than open at the drive frequency tie their nodes, and so do inductors. What the rest offers
   * to the terminals is reckoned from what hangs on both nodes: resistors, inductors, load, generator, and an emitter.
   */
  private joinReactive(parts: Part[]): void {
    const omega = 2 * Math.PI * (this.sheet.drive?.frequency ?? Number.POSITIVE_INFINITY);
    const between = (a: NodeName, b: NodeName) => [a, b].sort().join('\n');
    const capacitance = new Map<string, number>();
    for (const p of parts) {
      if (p.kind === 'capacitor') capacitance.set(between(p.from, p.to), (capacitance.get(between(p.from, p.to)) ?? 0) + p.capacitance);
    }
    const joins: [NodeName, NodeName][] = [];
    for (const part of parts) {
      if (part.shorted || (part.kind !== 'capacitor' && part.kind !== 'inductor')) continue;
      const seen = this.resistanceAt(part.from) + this.resistanceAt(part.to);
      const reactance = part.kind === 'capacitor' ? 1 / (omega * capacitance.get(between(part.from, part.to))!) : omega * part.inductance;
      // An inductor at a collector sees nothing finite: it is the load there and no link.
      if (part.kind === 'capacitor' ? reactance < seen : reactance < seen && Number.isFinite(seen)) joins.push([part.from, part.to]);
    }
    for (const [a, b] of joins) this.signal.join(a, b);
  }

  /** What a node offers to a capacitor, by what hangs on it; 0 at a supply. */
  private resistanceAt(node: NodeName): number {
    const { drive, parts, supplies } = this.sheet;
    if (node === GROUND || supplies.some((supply) => supply.node === node)) return 0;
    let conductance = 0;
    for (const r of this.resistors) if (r.a === node || r.b === node) conductance += 1 / r.resistance;
    if (this.transistors.some((t) => t.emitter === node)) conductance += this.emitterConductance(node, conductance);
    for (const p of parts) {
      if (p.kind === 'inductor' && !p.lifted && drive?.frequency !== undefined && (p.from === node || p.to === node)) {
        conductance += 1 / (2 * Math.PI * drive.frequency * p.inductance);
      }
    }
    const load = connectedLoad(this.sheet);
    if (load?.resistor !== undefined && this.sheet.output === node) conductance += 1 / load.resistor;
    if (drive?.node === node) conductance += 1 / Math.max(drive.sourceResistance, SMALLEST);
    return 1 / conductance;
  }

  /** 1/r_e of an emitter, its current guessed as a quarter of the supply in its resistors, or as the sink's that it stands on. */
  private emitterConductance(node: NodeName, resistors: number): number {
    const levels = [0, ...this.sheet.supplies.map((supply) => supply.volts)];
    const span = Math.max(...levels) - Math.min(...levels);
    const sinks = this.sheet.parts.reduce(
      (sum, p) => sum + (p.kind === 'current' && (p.from === node || p.to === node) ? Math.abs(p.amperes) : 0),
      0,
    );
    return (0.25 * span * resistors + sinks) / ROOM_TEMPERATURE_VOLTAGE;
  }

  /** True where two nodes are one node by name or by a link. */
  same(a: NodeName, b: NodeName): boolean {
    return this.direct.of(a) === this.direct.of(b);
  }
  /** True where two nodes are one node to the signal. */
  sameSignal(a: NodeName, b: NodeName): boolean {
    return this.signal.of(a) === this.signal.of(b);
  }
  grounded(node: NodeName): boolean {
    return this.sameSignal(node, GROUND);
  }
  /** True of ground and of supplies themselves. */
  isRail(node: NodeName): boolean {
    return this.same(node, GROUND) || this.sheet.supplies.some((supply) => this.same(node, supply.node));
  }
  /** The resistors on a node, each with its other end. */
  resistorsAt(node: NodeName): { name: string; other: NodeName; resistance: number }[] {
    return this.resistors.flatMap((r) => {
      if (this.same(r.a, node)) return [{ name: r.name, other: r.b, resistance: r.resistance }];
      if (this.same(r.b, node)) return [{ name: r.name, other: r.a, resistance: r.resistance }];
      return [];
    });
  }

  /**
   * How many parts lie between `start` and each node that is one to the signal, going forward (from base to collector and
   * emitter, from emitter to collector) or, with `backward`, against that. Signal ground is never entered; with
   * `without`, neither that transistor nor, on request, the node of one of its terminals is.
   */
  distances(start: NodeName, backward: boolean, without?: Transistor, closed?: NodeName): (node: NodeName) => number {
    const shut = closed === undefined ? undefined : this.signal.of(closed);
    const found = new Map<NodeName, number>();
    const next = new Map<NodeName, NodeName[]>();
    const edge = (a: NodeName, b: NodeName): void => {
      const [p, q] = [this.signal.of(a), this.signal.of(b)];
      if (p === q || this.grounded(a) || this.grounded(b) || q === shut) return;
      next.set(p, [...(next.get(p) ?? []), q]);
    };
    for (const r of [...this.resistors, ...this.diodes]) {
      edge(r.a, r.b);
      edge(r.b, r.a);
    }
    for (const t of this.transistors) {
      if (t.name === without?.name) continue;
      for (const [a, b] of [
        [t.base, t.collector],
        [t.base, t.emitter],
        [t.emitter, t.collector],
      ] as const) {
        if (backward) edge(b, a);
        else edge(a, b);
      }
    }
    const first = this.signal.of(start);
    if (!this.grounded(start)) found.set(first, 0);
    for (let ring = [...found.keys()]; ring.length > 0; ) {
      const further: NodeName[] = [];
      for (const node of ring) {
        for (const other of next.get(node) ?? []) {
          if (found.has(other)) continue;
          found.set(other, found.get(node)! + 1);
          further.push(other);
        }
      }
      ring = further;
    }
    return (node) => found.get(this.signal.of(node)) ?? Number.POSITIVE_INFINITY;
  }
}
