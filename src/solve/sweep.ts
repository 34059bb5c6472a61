/**
 * The static output against the generator's electromotive force, with its slope, as far as it goes: points close enough
 * for the slope to be followed, exact in themselves, and roots of conditions on the slope.
 */
import { BRISK, junctionsOf } from './static.ts';
import type { Transfer } from './transfer.ts';

export interface SweepPoint {
  /** Electromotive force, V. */
  drive: number;
  output: number;
  /** d output / d drive. */
  slope: number;
  x: Float64Array;
  /** Derivative of all unknowns by the drive. */
  tangent: Float64Array;
}

/** A step is taken again, shorter, when the slope changes by more than this share of the largest slope so far. */
const SLOPE_CHANGE = 0.07;
/** A: the curve is not followed to currents above this. */
const BEYOND_REASON = 1e6;
/** Points of one trace at the most; some 100 are usual. */
const MOST_POINTS = 4000;
/** Slopes below this are none: an output that a capacitor holds. */
const SLOPE_FLOOR = 1e-7;
/** Shortest step as a share of the range: below it the curve has a corner, or folds. */
const SHORTEST = 1e-9;
/** Longest step as a share of the range. */
const LONGEST = 1 / 60;

export class Sweep {
  readonly transfer: Transfer;
  private readonly unit: Float64Array;
  private readonly junctions: Float64Array;

  constructor(transfer: Transfer) {
    this.transfer = transfer;
    const { kernel } = transfer;
    this.unit = new Float64Array(kernel.n);
    if (kernel.network.generator >= 0) this.unit[kernel.network.nodes.length + kernel.network.generator] = 1;
    this.junctions = new Float64Array(kernel.junctionCount);
  }

  /** The solution at `drive`, found from a point nearby; null where Newton does not get there. */
  at(drive: number, from: SweepPoint | Float64Array): SweepPoint | null {
    const { kernel, solver } = this.transfer;
    const x = Float64Array.from('drive' in from ? from.x : from);
    const move = 'drive' in from ? drive - from.drive : 0;
    if (kernel.network.generator >= 0) kernel.emf[kernel.network.generator] = drive;
    junctionsOf(kernel, x, this.junctions);
    if ('drive' in from) for (let i = 0; i < x.length; i++) x[i] += move * from.tangent[i];
    if (!solver.solve(x, this.junctions, 40, BRISK).converged) return null;
    const tangent = new Float64Array(kernel.n);
    solver.tangent(this.unit, tangent);
    const out = kernel.network.outputNode;
    return { drive, output: out < 0 ? 0 : x[out], slope: out < 0 ? 0 : tangent[out], x, tangent };
  }

  /**
   * Points from `start` towards `end` (V), start excluded. `folded` where no solution follows before the end: the curve
   * turns back there, or goes to infinity.
   */
  trace(start: SweepPoint, end: number): { points: SweepPoint[]; folded: boolean } {
    const range = Math.abs(end - start.drive);
    const sign = end > start.drive ? 1 : -1;
    const points: SweepPoint[] = [];
    let last = start;
    let step = range * 1e-5;
    let largest = Math.abs(start.slope);
    while (sign * (end - last.drive) > range * 1e-12) {
      if (points.length >= MOST_POINTS || this.beyondReason(last)) return { points, folded: false };
      const drive = sign * (end - last.drive) <= step * 1.001 ? end : last.drive + sign * step;
      const next = this.at(drive, last);
      const change = next ? Math.abs(next.slope - last.slope) : Number.POSITIVE_INFINITY;
      const scale = Math.max(SLOPE_FLOOR, largest, next && Number.isFinite(next.slope) ? 0.2 * Math.abs(next.slope) : 0);
      if (!next || change > SLOPE_CHANGE * scale || (Math.sign(next.slope) * Math.sign(last.slope) < 0 && change > SLOPE_FLOOR)) {
        if (step > range * SHORTEST) {
          step /= next ? 2 : 4;
          continue;
        }
        if (!next || Math.abs(next.output - last.output) > 1e-3 * (1 + Math.abs(last.output))) return { points, folded: true };
      }
      points.push(next);
      largest = Math.max(largest, Math.abs(next.slope));
      if (change < 0.3 * SLOPE_CHANGE * scale) step = Math.min(step * 1.8, range * LONGEST);
      last = next;
    }
    return { points, folded: false };
  }

  /** Whether a branch carries a current that no stage has: an ideal source drives an ideal junction there. */
  private beyondReason(p: SweepPoint): boolean {
    for (let i = this.transfer.network.nodes.length; i < p.x.length; i++) if (Math.abs(p.x[i]) > BEYOND_REASON) return true;
    return false;
  }

  /**
   * The point between two neighbours at which `condition` (a continuous function of the point) passes zero, by
   * bisection on the drive with secant steps; the neighbours' values must differ in sign.
   */
  root(a: SweepPoint, b: SweepPoint, condition: (p: SweepPoint) => number): SweepPoint {
    let low = a;
    let high = b;
    let fLow = condition(low);
    let fHigh = condition(high);
    for (let k = 0; k < 60; k++) {
      const gap = high.drive - low.drive;
      if (Math.abs(gap) <= 1e-12 * (1 + Math.abs(low.drive))) break;
      // A secant step, kept inside the middle nine tenths, and plain halving every third time.
      const secant = fLow / (fLow - fHigh);
      const share = k % 3 === 2 || !Number.isFinite(secant) ? 0.5 : Math.min(0.95, Math.max(0.05, secant));
      const mid = this.at(low.drive + share * gap, share < 0.5 ? low : high);
      if (!mid) break;
      const f = condition(mid);
      if (f === 0) return mid;
      if (Math.sign(f) === Math.sign(fLow)) {
        low = mid;
        fLow = f;
      } else {
        high = mid;
        fHigh = f;
      }
      if (Math.abs(f) < 1e-9) break;
    }
    return Math.abs(fLow) < Math.abs(fHigh) ? low : high;
  }
}
