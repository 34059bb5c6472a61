/**
 * The instantaneous transfer network: capacitors held at their voltages become sources, held inductors become currents,
 * the others vanish. Loops of held capacitors and cut-sets of held inductors are consistent by construction, so the
 * dependent one is taken out.
 */
import type { Kernel } from '../circuit/kernel.ts';
import type { BranchElement, CurrentElement, Network } from '../circuit/network.ts';
import { PlainKernel } from '../circuit/plain-kernel.ts';
import type { ReactiveGroup } from './reactive.ts';
import type { Stage } from './stage.ts';
import { junctionsOf, StaticSolver } from './static.ts';

/** A network at one instant, with the generator's electromotive force as its only variable. */
export interface Transfer {
  network: Network;
  kernel: Kernel;
  solver: StaticSolver;
  /** Unknowns of the start. */
  x: Float64Array;
  /** Which reactive elements the instant holds, for building the same network again with a change. */
  held: ReactiveGroup[];
}

class Sets {
  private parent: number[];
  constructor(n: number) {
    this.parent = Array.from({ length: n + 1 }, (_, i) => i);
  }
  find(i: number): number {
    let r = i < 0 ? this.parent.length - 1 : i;
    while (this.parent[r] !== r) r = this.parent[r];
    return r;
  }
  /** Joins two nodes; false if they already were. */
  join(a: number, b: number): boolean {
    const p = this.find(a);
    const q = this.find(b);
    if (p === q) return false;
    this.parent[p] = q;
    return true;
  }
}

/**
 * Builds the transfer network. `volts(k)` is what capacitor k holds, `amperes(k)` the current that inductor branch k
 * holds. `edit` may change the finished network (lift a part, join two nodes) before its kernel is made.
 */
export function transferNetwork(
  base: Network,
  groups: ReactiveGroup[],
  volts: (capacitor: number) => number,
  amperes: (branch: number) => number,
): Network {
  const heldInductors = new Set(groups.flatMap((g) => (g.held && g.kind === 'inductor' ? g.members : [])));
  const heldCapacitors = groups.flatMap((g) => (g.held && g.kind === 'capacitor' ? g.members : [])).sort((a, b) => a - b);
  const ideal = new Sets(base.nodes.length);
  base.branches.forEach((b, k) => {
    if (b.resistance === 0 && !heldInductors.has(k)) ideal.join(b.a, b.b);
  });
  const branches: BranchElement[] = base.branches.flatMap((b, k) => (heldInductors.has(k) ? [] : [{ ...b, inductance: 0 }]));
  for (const k of heldCapacitors) {
    const c = base.capacitors[k];
    if (ideal.join(c.a, c.b))
      branches.push({
        part: c.part,
        a: c.a,
        b: c.b,
        resistance: 0,
        inductance: 0,
        emf: volts(k),
        kind: 'held',
        ofLoad: c.ofLoad,
        capacitor: k,
      });
  }
  // Nodes that hang on held inductors alone: one of each cut-set keeps its branch.
  const reach = new Sets(base.nodes.length);
  for (const e of [...base.resistors, ...branches]) reach.join(e.a, e.b);
  for (const t of base.transistors) {
    reach.join(t.collector, t.emitter);
    reach.join(t.base, t.emitter);
  }
  for (const d of base.diodes) reach.join(d.anode, d.cathode);
  const currents: CurrentElement[] = [...base.currents];
  for (const k of heldInductors) {
    const b = base.branches[k];
    if (reach.join(b.a, b.b)) branches.push({ ...b, inductance: 0 });
    else currents.push({ part: b.part, a: b.a, b: b.b, amperes: amperes(k), inductor: k });
  }
  return { ...base, capacitors: [], branches, currents, generator: branches.findIndex((b) => b.kind === 'generator') };
}

/** Makes a network solvable: kernel at the given temperatures and start values for its nodes by name. */
export function openTransfer(
  network: Network,
  ambient: number,
  temperatures: ArrayLike<number>,
  start: (node: string) => number | undefined,
): { kernel: Kernel; solver: StaticSolver; x: Float64Array } {
  const kernel = new PlainKernel(network, ambient);
  kernel.setTemperatures(temperatures);
  const x = new Float64Array(kernel.n);
  network.nodes.forEach((name, i) => {
    x[i] = start(name) ?? 0;
  });
  return { kernel, solver: new StaticSolver(kernel), x };
}

/** The transfer network about the quiescent point, solved there. Null where it has no solution. */
export function quiescentTransfer(stage: Stage, groups: ReactiveGroup[]): Transfer | null {
  const { network: base, x: x0 } = stage;
  const v = (i: number): number => (i < 0 ? 0 : x0[i]);
  const network = transferNetwork(
    base,
    groups,
    (k) => v(base.capacitors[k].a) - v(base.capacitors[k].b),
    (k) => x0[base.nodes.length + k],
  );
  const byName = new Map(base.nodes.map((name, i) => [name, x0[i]]));
  const { kernel, solver, x } = openTransfer(network, stage.sheet.ambient, stage.temperatures, (name) => byName.get(name));
  if (!solver.solve(x, junctionsOf(kernel, x)).converged) return null;
  return { network, kernel, solver, x, held: groups };
}
