/** The same circuit with one change, for evidence: a part lifted, two terminals joined, a breakdown taken away, a current supplied. */
import type { BranchElement, Network } from '../circuit/network.ts';
import { ramp } from '../solve/ramp.ts';
import { Sweep, type SweepPoint } from '../solve/sweep.ts';
import { openTransfer, type Transfer } from '../solve/transfer.ts';

/** Device k (transistors first) with its terminals open; its own resistances stay and carry nothing. */
export function lifted(network: Network, k: number): Network {
  const t = network.transistors.length;
  return k < t
    ? { ...network, transistors: network.transistors.filter((_, i) => i !== k) }
    : { ...network, diodes: network.diodes.filter((_, i) => i !== k - t) };
}

/** Device k replaced by the voltage `volts` from collector to emitter (anode to cathode). */
export function joined(network: Network, k: number, volts: number): Network {
  const [a, b, part] = ends(network, k);
  return withBranch(lifted(network, k), { part, a, b, emf: volts });
}

/** Collector and emitter, or anode and cathode, of device k, and its designator. */
export function ends(network: Network, k: number): [a: number, b: number, part: string] {
  const t = network.transistors.length;
  if (k < t) {
    const { collector, emitter, part } = network.transistors[k];
    return [collector, emitter, part];
  }
  const { anode, cathode, part } = network.diodes[k - t];
  return [anode, cathode, part];
}

export function withoutBreakdown(network: Network, k: number): Network {
  const t = network.transistors.length;
  return {
    ...network,
    transistors: network.transistors.map((e, i) =>
      i === k ? { ...e, parameters: { ...e.parameters, emitterBreakdownVoltage: undefined } } : e,
    ),
    diodes: network.diodes.map((e, i) => (i + t === k ? { ...e, parameters: { ...e.parameters, breakdownVoltage: undefined } } : e)),
  };
}

/** A further ideal branch from a to b. It comes last, so that the others keep their places. */
export function withBranch(network: Network, b: Pick<BranchElement, 'part' | 'a' | 'b' | 'emf'>): Network {
  return { ...network, branches: [...network.branches, { ...b, resistance: 0, inductance: 0, kind: 'voltage' }] };
}

/** An ideal source that takes `amperes` out of a node. */
export function withCurrent(network: Network, node: number, amperes: number): Network {
  return { ...network, currents: [...network.currents, { part: 'supplied', a: node, b: -1, amperes }] };
}

export function withSupply(network: Network, branch: number, volts: number): Network {
  return { ...network, branches: network.branches.map((b, k) => (k === branch ? { ...b, emf: b.emf + volts } : b)) };
}

/** Temperatures of the devices that a change leaves, taken from the unchanged network's. */
export function temperaturesAfter(before: Network, after: Network, kelvin: ArrayLike<number>): number[] {
  const names = [...before.transistors, ...before.diodes].map((d) => d.part);
  return [...after.transistors, ...after.diodes].map((d) => kelvin[names.indexOf(d.part)]);
}

/** A changed transfer (with branches of its own) ready to be solved from the unknowns of the unchanged one. */
export function openChanged(transfer: Transfer, network: Network, kelvin: ArrayLike<number>, ambient: number): Sweep {
  const temperatures = temperaturesAfter(transfer.network, network, kelvin);
  const own = { ...network, branches: network.branches.map((b) => ({ ...b })) };
  const opened = openTransfer(own, ambient, temperatures, () => undefined);
  return new Sweep({ network: own, ...opened, held: transfer.held });
}

/** The changed circuit at `drive`, from a point of the unchanged one; null where it has no solution there. */
export function changedAt(changed: Sweep, drive: number, near: SweepPoint): SweepPoint | null {
  const { kernel, network, solver } = changed.transfer;
  const start = new Float64Array(kernel.n);
  for (let i = 0; i < network.nodes.length; i++) start[i] = near.x[i];
  const direct = changed.at(drive, start);
  if (direct) return direct;
  // From nothing, with the drive as one of the sources that are raised.
  const generator = network.branches[network.generator];
  if (generator) generator.emf = drive;
  start.fill(0);
  if (!ramp(solver, start).converged) return null;
  return changed.at(drive, start);
}
