/** The instantaneous transfer at any instant of a settled period: the held voltages and currents are those of that instant. */
import type { Orbit } from './orbit.ts';
import { orbitAt } from './orbit.ts';
import type { ReactiveGroup } from './reactive.ts';
import type { Stage } from './stage.ts';
import { Sweep, type SweepPoint } from './sweep.ts';
import { openTransfer, transferNetwork } from './transfer.ts';

export class Instants {
  readonly sweep: Sweep;
  private readonly stage: Stage;
  private readonly orbit: Orbit;
  private readonly emf: (t: number) => number;
  private readonly x: Float64Array;
  private readonly start: Float64Array;

  /** `emf` is the generator's electromotive force at t seconds; `temperatures` those of the settled period, K. */
  constructor(stage: Stage, groups: ReactiveGroup[], orbit: Orbit, emf: (t: number) => number, temperatures: Float64Array) {
    this.stage = stage;
    this.orbit = orbit;
    this.emf = emf;
    const network = transferNetwork(
      stage.network,
      groups,
      () => 0,
      () => 0,
    );
    const opened = openTransfer(network, stage.sheet.ambient, temperatures, () => 0);
    this.sweep = new Sweep({ network, ...opened, held: groups });
    this.x = new Float64Array(orbit.n);
    this.start = new Float64Array(opened.kernel.n);
  }

  /** Holds what the instant t (s, within the period) holds. */
  private hold(t: number): void {
    const { kernel, network } = this.sweep.transfer;
    const base = this.stage.network;
    const nodes = base.nodes.length;
    orbitAt(this.orbit, t, nodes, this.x);
    const v = (i: number): number => (i < 0 ? 0 : this.x[i]);
    network.branches.forEach((b, k) => {
      if (b.capacitor === undefined) return;
      // The network's own value too, so that copies with a change hold the same.
      b.emf = v(b.a) - v(b.b);
      kernel.emf[k] = b.emf;
    });
    network.currents.forEach((c, k) => {
      if (c.inductor === undefined) return;
      c.amperes = this.x[nodes + c.inductor];
      kernel.amperes[k] = c.amperes;
    });
    for (let i = 0; i < nodes; i++) this.start[i] = this.x[i];
  }

  /** The transfer solved at instant t, with its slope; null where it has no static solution. */
  at(t: number): SweepPoint | null {
    this.hold(t);
    return this.sweep.at(this.emf(t), this.start);
  }
}
