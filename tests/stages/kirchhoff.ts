/**
 * An independent judge of a quiescent solution: from the node voltages alone it works out every part's current by the
 * published equations, adds them up at every node, and says how far the sums are from zero.
 *
 * Nodes joined without resistance (ideal sources, inductors, links) form one island; the law is applied to the island,
 * since the current inside it follows from nothing else, and the island's voltages are checked instead. An island that
 * holds ground is left out: ground takes what comes. The supplies' currents follow from the sums at their nodes.
 *
 * What can be asked. A voltage V is known to half a unit in its last place, and a node whose parts change their current
 * by G ampere per volt then has a sum that is uncertain by G ulp(V). For a 12 V node that is 9e-16 V; with 1 S of
 * junction conductance 1e-15 A, far below the criterion of 1e-12 A; but a transistor deep in saturation, whose two
 * transport currents of amperes cancel to milliamperes, has 300 S and reaches 1e-12 A, more on a 60 V rail. So the allowance of a node is the
 * largest of 1e-12 A, 1e-9 of the largest branch current there, and FLOOR_ULPS units in the last place of the largest
 * voltage at the parts of that node times the sum of their conductances, that last one up to 1e-6 of the current.
 */
import type { Load, Part, Sheet } from '../../src/sheet/types.ts';
import { bipolarCurrents, diodeCurrent } from './device-currents.ts';

/** Three voltages rounded once each meet in a transistor, and each sum rounds again. */
const FLOOR_ULPS = 4;
/** However high a node stands, rounding excuses no more than this share of the largest current there. */
const FLOOR_SHARE = 1e-6;

export interface NodeResidual {
  /** Nodes of the island, joined by `+`. */
  node: string;
  /** Sum of the currents that leave, A. */
  residual: number;
  largestBranch: number; // A
  allowed: number; // A
}
export interface KirchhoffReport {
  sound: boolean;
  /** The node whose residual is the largest share of what is allowed. */
  worst: NodeResidual | null;
  /** Ideal voltages not kept, each with the difference in V. */
  brokenVoltages: { part: string; difference: number }[];
  /** What each supply sends into the stage, A; null where several sources share an island. */
  supplies: Record<string, number | null>;
}

interface Branch {
  from: string;
  to: string;
  /** A, from `from` to `to`. */
  current: number;
  conductance: number; // S
}
interface Link {
  part: string;
  from: string;
  to: string;
  /** v(from) - v(to), V. */
  volts: number;
}

const ulp = (value: number): number => 2 ** (Math.floor(Math.log2(Math.max(Math.abs(value), 1e-300))) - 52);

function loadParts(load: Load, output: string): { from: string; to: string; resistance: number }[] {
  if (load.open) return [];
  if (load.speaker) return [{ from: output, to: load.to, resistance: load.speaker.resistance }];
  if (load.series) return load.capacitor === undefined ? [{ from: output, to: load.to, resistance: load.resistor ?? 0 }] : [];
  const found: { from: string; to: string; resistance: number }[] = [];
  if (load.resistor !== undefined) found.push({ from: output, to: load.to, resistance: load.resistor });
  if (load.inductor !== undefined) found.push({ from: output, to: load.to, resistance: 0 });
  return found;
}

/**
 * Judges a quiescent solution of `sheet`.
 * @param solution node voltages by name, V (ground may be left out), and the junction temperature, K, of each device
 *   that is not at ambient.
 * @throws RangeError when a node of the sheet has no voltage.
 */
export function kirchhoffResidual(
  sheet: Sheet,
  solution: { nodes: Record<string, number>; temperatures?: Record<string, number> },
): KirchhoffReport {
  const volts = (node: string): number => {
    if (node === 'gnd') return 0;
    const value = solution.nodes[node];
    if (value === undefined || !Number.isFinite(value)) throw new RangeError(`Node ${node} has no voltage.`);
    return value;
  };
  const branches: Branch[] = [];
  const links: Link[] = [];
  const owners: string[] = [];
  const carry = (part: string, from: string, to: string, resistance: number, source = 0): void => {
    if (resistance === 0) {
      links.push({ part, from, to, volts: source });
      return;
    }
    owners.push(part);
    branches.push({ from, to, current: (volts(from) - volts(to) - source) / resistance, conductance: 1 / resistance });
  };
  for (const part of sheet.parts) addPart(part, carry, branches, owners, volts, solution.temperatures?.[part.name] ?? sheet.ambient);
  for (const supply of sheet.supplies) carry(`supply ${supply.node}`, supply.node, 'gnd', supply.resistance, supply.volts);
  if (sheet.drive) carry('drive', sheet.drive.node, 'gnd', sheet.drive.sourceResistance, sheet.drive.offset);
  const load = sheet.loads.find((candidate) => candidate.name === sheet.load);
  if (load && sheet.output !== undefined)
    for (const { from, to, resistance } of loadParts(load, sheet.output)) carry('load', from, to, resistance);

  const parent = new Map<string, string>();
  const island = (node: string): string => {
    const above = parent.get(node) ?? node;
    return above === node ? node : island(above);
  };
  const brokenVoltages: KirchhoffReport['brokenVoltages'] = [];
  for (const link of links) {
    parent.set(island(link.from), island(link.to));
    const difference = volts(link.from) - volts(link.to) - link.volts;
    const floor = 4 * ulp(Math.max(Math.abs(volts(link.from)), Math.abs(volts(link.to)), Math.abs(link.volts)));
    if (Math.abs(difference) > Math.max(floor, 1e-12)) brokenVoltages.push({ part: link.part, difference });
  }

  const sums = new Map<string, { names: Set<string>; residual: number; largest: number; conductance: number; height: number }>();
  const at = (node: string) => {
    const key = island(node);
    const found = sums.get(key) ?? { names: new Set<string>(), residual: 0, largest: 0, conductance: 0, height: 0 };
    sums.set(key, found);
    found.names.add(node);
    return found;
  };
  for (const branch of branches) {
    const height = Math.max(Math.abs(volts(branch.from)), Math.abs(volts(branch.to)));
    for (const [node, sign] of [
      [branch.from, 1],
      [branch.to, -1],
    ] as const) {
      const sum = at(node);
      sum.residual += sign * branch.current;
      sum.largest = Math.max(sum.largest, Math.abs(branch.current));
      sum.conductance += branch.conductance;
      sum.height = Math.max(sum.height, height);
    }
  }
  let worst: NodeResidual | null = null;
  for (const [key, sum] of sums) {
    if (key === island('gnd')) continue;
    const allowed = Math.max(
      1e-12,
      1e-9 * sum.largest,
      Math.min(FLOOR_ULPS * ulp(sum.height) * sum.conductance, FLOOR_SHARE * sum.largest),
    );
    const found: NodeResidual = { node: [...sum.names].join('+'), residual: sum.residual, largestBranch: sum.largest, allowed };
    if (worst === null || Math.abs(found.residual) / allowed > Math.abs(worst.residual) / worst.allowed || Number.isNaN(found.residual))
      worst = found;
  }
  return {
    sound: brokenVoltages.length === 0 && (worst === null || Math.abs(worst.residual) <= worst.allowed),
    worst,
    brokenVoltages,
    supplies: supplyCurrents(sheet, branches, owners, links),
  };
}

/** An ideal supply sends what its node's other branches take, unless another link at the node could share it. */
function supplyCurrents(sheet: Sheet, branches: Branch[], owners: string[], links: Link[]): Record<string, number | null> {
  const result: Record<string, number | null> = {};
  for (const { node, resistance } of sheet.supplies) {
    if (resistance === 0 && links.filter((link) => link.from === node || link.to === node).length > 1) {
      result[node] = null;
      continue;
    }
    let sent = 0;
    branches.forEach((branch, index) => {
      if (owners[index] === `supply ${node}`) return;
      if (branch.from === node) sent += branch.current;
      if (branch.to === node) sent -= branch.current;
    });
    result[node] = sent;
  }
  return result;
}

type Carry = (part: string, from: string, to: string, resistance: number, source?: number) => void;

function addPart(part: Part, carry: Carry, branches: Branch[], owners: string[], volts: (node: string) => number, kelvin: number): void {
  if (part.lifted) return;
  if (part.shorted) {
    // A shorted transistor keeps its base lead: with collector and emitter joined, its two junctions lie side by side.
    if ('collector' in part) carry(part.name, part.collector, part.emitter, 0);
    else if ('anode' in part) carry(part.name, part.anode, part.cathode, 0);
    else carry(part.name, part.from, part.to, 0);
    if (!('collector' in part)) return;
  }
  switch (part.kind) {
    case 'resistor':
      carry(part.name, part.from, part.to, part.resistance);
      return;
    case 'trimmer':
      if (part.from !== part.wiper) carry(part.name, part.from, part.wiper, part.resistance * part.position);
      if (part.to !== part.wiper) carry(part.name, part.wiper, part.to, part.resistance * (1 - part.position));
      return;
    case 'capacitor':
      if (part.leakage > 0) carry(part.name, part.from, part.to, (part.rating ?? Number.NaN) / part.leakage + part.seriesResistance);
      return;
    case 'inductor':
      carry(part.name, part.from, part.to, part.seriesResistance);
      return;
    case 'voltage':
      carry(part.name, part.from, part.to, part.resistance, part.volts);
      return;
    case 'speaker':
      carry(part.name, part.from, part.to, part.speaker.resistance);
      return;
    case 'current':
      owners.push(part.name);
      branches.push({ from: part.from, to: part.to, current: part.amperes, conductance: 0 });
      return;
    case 'diode': {
      const { current, inside } = diodeCurrent(part.parameters, kelvin, part.area, volts(part.anode) - volts(part.cathode));
      owners.push(part.name);
      branches.push({ from: part.anode, to: part.cathode, current, conductance: inside / 0.02 });
      return;
    }
    case 'npn':
    case 'pnp': {
      const sign = part.kind === 'npn' ? 1 : -1;
      const vbe = sign * (volts(part.base) - volts(part.emitter));
      const vbc = sign * (volts(part.base) - volts(part.collector));
      const { collector, base, inside } = bipolarCurrents(part.parameters, kelvin, part.area, vbe, vbc);
      // V_T is above 20 mV in all of our ambients: current over it bounds every conductance from above.
      const conductance = inside / 0.02;
      owners.push(part.name, part.name);
      branches.push({ from: part.collector, to: part.emitter, current: sign * collector, conductance });
      branches.push({ from: part.base, to: part.emitter, current: sign * base, conductance });
    }
  }
}
