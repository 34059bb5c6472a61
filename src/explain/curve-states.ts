/** States of the devices along a transfer curve, and the point at which a device first enters one. */
import { conductionOf } from '../circuit/device-figures.ts';
import { BIPOLAR_CONSTANTS } from '../devices/bipolar.ts';
import { type BipolarRegion, betaAtFiveVolts } from '../devices/state.ts';
import type { Sweep, SweepPoint } from '../solve/sweep.ts';
import { judgedCurrent, regionOf, thresholdOver } from './states.ts';

export class CurveStates {
  private readonly sweep: Sweep;
  /** Threshold of each device, A. */
  readonly thresholds: number[];

  /** `printed` are the points of the curve as printed: they set the thresholds. */
  constructor(sweep: Sweep, printed: SweepPoint[]) {
    this.sweep = sweep;
    const { kernel } = sweep.transfer;
    const count = kernel.network.transistors.length + kernel.network.diodes.length;
    const largest = new Array<number>(count).fill(0);
    for (const p of printed) {
      kernel.evaluate(p.x, null, false);
      for (let k = 0; k < count; k++) largest[k] = Math.max(largest[k], Math.abs(judgedCurrent(kernel, k)));
    }
    this.thresholds = largest.map(thresholdOver);
  }

  /** State of device k (transistors first) at a point. */
  at(k: number, p: SweepPoint): BipolarRegion {
    const { kernel } = this.sweep.transfer;
    kernel.evaluate(p.x, null, false);
    return regionOf(kernel, k, this.thresholds[k]);
  }

  /** Of transistor k at a point: the collector current that its base current asks for (as at 5 V), and what flows, A. */
  collectorAsked(k: number, p: SweepPoint): { asked: number; flows: number } | null {
    const { kernel } = this.sweep.transfer;
    if (k >= kernel.network.transistors.length) return null;
    kernel.evaluate(p.x, null, false);
    const c = conductionOf(kernel, k);
    const beta = betaAtFiveVolts(kernel.transistorConstants, k * BIPOLAR_CONSTANTS, c.collectorCurrent);
    return { asked: beta * c.baseCurrent, flows: c.collectorCurrent };
  }

  /**
   * Walks a path (points in order) for the first point at which device k is in another state than `from`; the point is
   * refined between its neighbours. Null where it never leaves that state.
   */
  firstChange(k: number, path: SweepPoint[], from: BipolarRegion): { point: SweepPoint; state: BipolarRegion } | null {
    const i = path.findIndex((p) => this.at(k, p) !== from);
    if (i < 0) return null;
    const point = i === 0 ? path[0] : this.border(k, path[i - 1], path[i], from);
    return { point, state: this.at(k, point) };
  }

  /** The point between two neighbours just after device k leaves a state, by bisection on the drive. */
  private border(k: number, inside: SweepPoint, outside: SweepPoint, state: BipolarRegion): SweepPoint {
    let a = inside;
    let b = outside;
    for (let n = 0; n < 40 && Math.abs(b.drive - a.drive) > 1e-9 * (1 + Math.abs(a.drive)); n++) {
      const mid = this.sweep.at(0.5 * (a.drive + b.drive), a);
      if (!mid) break;
      if (this.at(k, mid) === state) a = mid;
      else b = mid;
    }
    return b;
  }
}
