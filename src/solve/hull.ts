/**
 * Where node voltages can lie. Resistances, junctions and transistors have no gain in voltage: the highest and the lowest
 * node of a network of them touch a source (Willson, IEEE Trans. Circuit Theory CT-22, 1975, The no-gain property for
 * networks containing three-terminal elements; from memory). A point beyond that is no solution, however small the
 * currents there: a node that hangs on closed junctions alone would fly off on the last digits of a leakage.
 */
import type { Kernel } from '../circuit/kernel.ts';

/**
 * V: unequal forward and reverse idealities give the model of a saturated transistor a small electromotive force of its
 * own, V_BE (1 - n_R/n_F), so nodes may pass the sources by so much.
 */
const MARGIN = 0.5;

export class Hull {
  private readonly kernel: Kernel;
  /** Nodes that a current source moves to wherever its current goes: free themselves, and their voltage counts as a source. */
  private readonly free: Int32Array;
  private readonly bound: Int32Array;
  private low = 0;
  private high = 0;

  constructor(kernel: Kernel) {
    this.kernel = kernel;
    const { network } = kernel;
    const free = new Set(network.currents.flatMap((e) => [e.a, e.b]).filter((i) => i >= 0));
    this.free = Int32Array.from(free);
    this.bound = Int32Array.from(network.nodes.keys()).filter((i) => !free.has(i));
  }

  /** Reads the sources as they are now. */
  read(): void {
    const { network, emf } = this.kernel;
    let [low, high, between] = [0, 0, 0];
    network.branches.forEach((b, k) => {
      if (b.a >= 0 && b.b >= 0) between += Math.abs(emf[k]);
      else {
        const volts = b.b < 0 ? emf[k] : -emf[k];
        low = Math.min(low, volts);
        high = Math.max(high, volts);
      }
    });
    this.low = low - between - MARGIN;
    this.high = high + between + MARGIN;
  }

  /** Puts the nodes of x that lie outside back on the edge; returns whether there were any. */
  keep(x: Float64Array): boolean {
    let { low, high } = this;
    for (const i of this.free) {
      low = Math.min(low, x[i]);
      high = Math.max(high, x[i]);
    }
    let moved = false;
    for (const i of this.bound) {
      if (x[i] > high) x[i] = high;
      else if (x[i] < low) x[i] = low;
      else continue;
      moved = true;
    }
    return moved;
  }

  /** Whether every node of x lies inside. */
  holds(x: Float64Array): boolean {
    let { low, high } = this;
    for (const i of this.free) {
      low = Math.min(low, x[i]);
      high = Math.max(high, x[i]);
    }
    return this.bound.every((i) => x[i] >= low && x[i] <= high);
  }
}
