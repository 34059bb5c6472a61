/** States of devices at a solution, and the current threshold below which a device counts as off (`physics.md`, Device states). */
import { conductionOf, diodeConductionOf } from '../circuit/device-figures.ts';
import { DEVICE_FIGURES, FIGURE, type Kernel } from '../circuit/kernel.ts';
import { BIPOLAR_CONSTANTS } from '../devices/bipolar.ts';
import { type BipolarRegion, betaAtFiveVolts, bipolarRegion, diodeRegion } from '../devices/state.ts';

/** A: no threshold is below this. */
const LEAST_THRESHOLD = 1e-9;
/** A: for a quiescent state alone no threshold is above this. */
const MOST_AT_REST = 1e-6;
const SHARE = 1 / 1000;

/** Threshold of a quiescent state alone, from the largest branch current of the sheet (A). */
export function thresholdAtRest(largestCurrent: number): number {
  return Math.max(LEAST_THRESHOLD, Math.min(MOST_AT_REST, SHARE * largestCurrent));
}

/** Threshold of a device over a period or a curve, from the largest conduction current that it sees (A). */
export function thresholdOver(largestOfDevice: number): number {
  return Math.max(LEAST_THRESHOLD, SHARE * largestOfDevice);
}

/** The conduction current by which device k (transistors first) is judged, at the kernel's last evaluation, A, forward sense. */
export function judgedCurrent(kernel: Kernel, k: number): number {
  const count = kernel.network.transistors.length;
  return k < count ? conductionOf(kernel, k).collectorCurrent : diodeConductionOf(kernel, k - count).current;
}

/** State of device k (transistors first) at the kernel's last evaluation. */
export function regionOf(kernel: Kernel, k: number, threshold: number): BipolarRegion {
  const { transistors } = kernel.network;
  if (k >= transistors.length) {
    const d = diodeConductionOf(kernel, k - transistors.length);
    return diodeRegion(d.current, d.breakdown, threshold);
  }
  const at = DEVICE_FIGURES * k;
  const { figures } = kernel;
  return bipolarRegion(
    {
      transport: figures[at + FIGURE.transport],
      baseEmitter: figures[at + FIGURE.baseEmitter],
      baseCollector: figures[at + FIGURE.baseCollector],
      breakdown: figures[at + FIGURE.breakdown],
      vbe: figures[at + FIGURE.vbe],
      vbc: figures[at + FIGURE.vbc],
    },
    threshold,
    (current) => betaAtFiveVolts(kernel.transistorConstants, k * BIPOLAR_CONSTANTS, current),
  );
}
