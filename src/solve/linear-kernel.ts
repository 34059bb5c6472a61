/** The stage as its small-signal self: G and C of one solution, for all amplitudes. What a stage that never ran out would do. */
import { DEVICE_FIGURES, DEVICE_SLOPES, type Kernel } from '../circuit/kernel.ts';
import type { Network } from '../circuit/network.ts';
import type { Pattern } from '../numerics/sparse.ts';

export class LinearKernel implements Kernel {
  readonly network: Network;
  readonly n: number;
  readonly pattern: Pattern;
  readonly emf: Float64Array;
  readonly amperes: Float64Array;
  readonly f: Float64Array;
  readonly g: Float64Array;
  readonly q: Float64Array;
  readonly c: Float64Array;
  readonly junctionCount = 0;
  readonly figures: Float64Array;
  readonly slopes: Float64Array;
  readonly transistorConstants: Float64Array;
  evaluations = 0;
  private readonly rest: Float64Array;
  private readonly restEmf: Float64Array;

  /** Linearises `kernel` at its solution x, with the sources it has then. */
  constructor(kernel: Kernel, x: Float64Array) {
    kernel.evaluate(x, null, true);
    this.network = kernel.network;
    this.n = kernel.n;
    this.pattern = kernel.pattern;
    this.emf = Float64Array.from(kernel.emf);
    this.restEmf = Float64Array.from(kernel.emf);
    this.amperes = Float64Array.from(kernel.amperes);
    this.g = Float64Array.from(kernel.g);
    this.c = Float64Array.from(kernel.c);
    this.f = new Float64Array(this.n);
    this.q = new Float64Array(this.n);
    this.rest = Float64Array.from(x);
    const devices = this.network.transistors.length + this.network.diodes.length;
    this.figures = new Float64Array(DEVICE_FIGURES * devices);
    this.slopes = new Float64Array(DEVICE_SLOPES * devices);
    this.transistorConstants = kernel.transistorConstants;
  }

  evaluate(x: Float64Array): boolean {
    this.evaluations++;
    const { pattern, n } = this;
    for (let i = 0; i < n; i++) {
      let f = 0;
      let q = 0;
      for (let p = pattern.rowStart[i]; p < pattern.rowStart[i + 1]; p++) {
        const d = x[pattern.columns[p]] - this.rest[pattern.columns[p]];
        f += this.g[p] * d;
        q += this.c[p] * d;
      }
      this.f[i] = f;
      this.q[i] = q;
    }
    const nodes = this.network.nodes.length;
    for (let k = 0; k < this.emf.length; k++) this.f[nodes + k] -= this.emf[k] - this.restEmf[k];
    return false;
  }

  /** A linear stage has no temperatures, no values and no devices of its own to change. */
  setTemperatures(): void {
    throw new Error('a linearised stage keeps the temperatures of its solution');
  }
  loadValues(): void {
    throw new Error('a linearised stage keeps the values of its solution');
  }
  addDevice(): void {
    throw new Error('a linearised stage has no devices');
  }
  withinModel(): boolean {
    return true;
  }
}
