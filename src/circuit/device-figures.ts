/** What single devices and parts do at one solution: conduction currents, dissipation, terminal currents. */
import { DEVICE_FIGURES, FIGURE, type Kernel } from './kernel.ts';
import type { Network } from './network.ts';

/** Conduction figures of one transistor in its forward sense (both polarities alike), at the internal junctions. */
export interface Conduction {
  collectorCurrent: number;
  baseCurrent: number;
  emitterCurrent: number;
  vbe: number;
  vbc: number;
  breakdown: number;
  /** I_CT V_C'E' + I_BE V_B'E' + I_BC V_B'C', W, without the device's resistances. */
  junctionPower: number;
}

/** Transistor k at the kernel's last evaluation. */
export function conductionOf(kernel: Kernel, k: number): Conduction {
  const { figures } = kernel;
  const at = DEVICE_FIGURES * k;
  const transport = figures[at + FIGURE.transport];
  const be = figures[at + FIGURE.baseEmitter];
  const bc = figures[at + FIGURE.baseCollector];
  const vbe = figures[at + FIGURE.vbe];
  const vbc = figures[at + FIGURE.vbc];
  return {
    collectorCurrent: transport - bc,
    baseCurrent: be + bc,
    emitterCurrent: transport + be,
    vbe,
    vbc,
    breakdown: figures[at + FIGURE.breakdown],
    junctionPower: transport * (vbe - vbc) + be * vbe + bc * vbc,
  };
}

/** Diode k at the kernel's last evaluation: current, junction voltage, breakdown current. */
export function diodeConductionOf(
  kernel: Kernel,
  k: number,
): { current: number; voltage: number; breakdown: number; junctionPower: number } {
  const at = DEVICE_FIGURES * (kernel.network.transistors.length + k);
  const current = kernel.figures[at + FIGURE.transport];
  const voltage = kernel.figures[at + FIGURE.vbe];
  return { current, voltage, breakdown: kernel.figures[at + FIGURE.breakdown], junctionPower: current * voltage };
}

/** The inner resistors of devices, grouped by device: indices into `network.resistors`. */
export function innerResistors(network: Network): Map<string, number[]> {
  const inner = new Map<string, number[]>();
  network.resistors.forEach((r, k) => {
    if (r.inner === 'base' || r.inner === 'collector' || r.inner === 'emitter' || r.inner === 'diode') {
      inner.set(r.part, [...(inner.get(r.part) ?? []), k]);
    }
  });
  return inner;
}

/**
 * Heat in each device by its conduction currents, W, transistors then diodes, at the kernel's last evaluation at x.
 * The resistances inside a device carry conduction and charging currents alike and count with what flows in them.
 */
export function dissipations(kernel: Kernel, x: Float64Array, inner = innerResistors(kernel.network)): Float64Array {
  const { network } = kernel;
  const v = (i: number): number => (i < 0 ? 0 : x[i]);
  const count = network.transistors.length;
  const power = new Float64Array(count + network.diodes.length);
  const resistive = (part: string): number => {
    let sum = 0;
    for (const k of inner.get(part) ?? []) {
      const r = network.resistors[k];
      const u = v(r.a) - v(r.b);
      sum += (u * u) / r.resistance;
    }
    return sum;
  };
  network.transistors.forEach((t, k) => {
    power[k] = conductionOf(kernel, k).junctionPower + resistive(t.part);
  });
  network.diodes.forEach((d, k) => {
    power[count + k] = diodeConductionOf(kernel, k).junctionPower + resistive(d.part);
  });
  return power;
}

/** Magnitude of the largest current in any element, A, at the kernel's last evaluation at x. */
export function largestCurrent(kernel: Kernel, x: Float64Array): number {
  const { network } = kernel;
  const v = (i: number): number => (i < 0 ? 0 : x[i]);
  let largest = 0;
  for (const r of network.resistors) largest = Math.max(largest, Math.abs(v(r.a) - v(r.b)) / r.resistance);
  for (let k = 0; k < network.branches.length; k++) largest = Math.max(largest, Math.abs(x[network.nodes.length + k]));
  for (let k = 0; k < network.currents.length; k++) largest = Math.max(largest, Math.abs(kernel.amperes[k]));
  for (let k = 0; k < network.transistors.length; k++) {
    const c = conductionOf(kernel, k);
    largest = Math.max(largest, Math.abs(c.collectorCurrent), Math.abs(c.emitterCurrent), Math.abs(c.baseCurrent));
  }
  for (let k = 0; k < network.diodes.length; k++) largest = Math.max(largest, Math.abs(diodeConductionOf(kernel, k).current));
  return largest;
}
