/** The test that decides whether something is a solution: Kirchhoff's current law at every node (`physics.md`, Quiescent). */
import { DEVICE_FIGURES, FIGURE, type Kernel } from '../circuit/kernel.ts';

/** A: a residual below this is none. */
export const CURRENT_FLOOR = 1e-12;
/** Share of the largest branch current at the node. */
export const CURRENT_SHARE = 1e-9;
/** A node voltage cannot be written finer than its last digits: their worth in current at the node is no fault of the solution. */
const ROUNDING = 4 * Number.EPSILON;
/** However high a node stands, its last digits excuse no more than this share of the largest branch current there. */
const ROUNDING_SHARE = 1e-6;

/**
 * The largest current residual over what is allowed at its node, after `kernel.evaluate(x, null, ...)`; branch equations
 * count with 1e-9 of their voltages. At most 1 for a solution.
 */
export function residualRatio(kernel: Kernel, x: Float64Array): number {
  const { network, f } = kernel;
  const nodes = network.nodes.length;
  const largest = new Float64Array(nodes + 1);
  const bin = (i: number): number => (i < 0 ? nodes : i);
  const v = (i: number): number => (i < 0 ? 0 : x[i]);
  const touch = (i: number, amperes: number): void => {
    const at = bin(i);
    largest[at] = Math.max(largest[at], Math.abs(amperes));
  };
  for (const e of network.resistors) {
    const i = (v(e.a) - v(e.b)) / e.resistance;
    touch(e.a, i);
    touch(e.b, i);
  }
  network.currents.forEach((e, k) => {
    touch(e.a, kernel.amperes[k]);
    touch(e.b, kernel.amperes[k]);
  });
  network.branches.forEach((e, k) => {
    touch(e.a, x[nodes + k]);
    touch(e.b, x[nodes + k]);
  });
  network.transistors.forEach((t, k) => {
    const at = DEVICE_FIGURES * k;
    const transport = kernel.figures[at + FIGURE.transport];
    const be = kernel.figures[at + FIGURE.baseEmitter];
    const bc = kernel.figures[at + FIGURE.baseCollector];
    touch(t.collector, transport - bc);
    touch(t.base, be + bc);
    // A transistor is two branches, collector to emitter and base to emitter: the emitter has the currents of both.
    touch(t.emitter, transport - bc);
    touch(t.emitter, be + bc);
  });
  network.diodes.forEach((d, k) => {
    const i = kernel.figures[DEVICE_FIGURES * (network.transistors.length + k) + FIGURE.transport];
    touch(d.anode, i);
    touch(d.cathode, i);
  });
  let worst = 0;
  for (let i = 0; i < nodes; i++) {
    let grain = 0;
    for (let p = kernel.pattern.rowStart[i]; p < kernel.pattern.rowStart[i + 1]; p++) {
      const j = kernel.pattern.columns[p];
      if (j < nodes) grain += Math.abs(kernel.g[p] * x[j]);
    }
    const rounding = kernel.stiff ? ROUNDING * grain : Math.min(ROUNDING * grain, ROUNDING_SHARE * largest[i]);
    const ratio = Math.abs(f[i]) / Math.max(CURRENT_FLOOR, CURRENT_SHARE * largest[i], rounding);
    if (!(ratio <= worst)) worst = ratio;
  }
  network.branches.forEach((e, k) => {
    const volts = Math.max(1e-3, Math.abs(v(e.a)), Math.abs(v(e.b)), Math.abs(kernel.emf[k]));
    const ratio = Math.abs(f[nodes + k]) / (CURRENT_SHARE * volts);
    if (!(ratio <= worst)) worst = ratio;
  });
  return Number.isNaN(worst) ? Number.POSITIVE_INFINITY : worst;
}
