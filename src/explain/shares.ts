/**
 * Which device bends the curve: its share of the fall in slope between A (unhurt) and L (the limit), by putting its
 * small-signal conductances of A into the linearised circuit of L (`physics.md`, Cause of a limit).
 */
import { DEVICE_SLOPES } from '../circuit/kernel.ts';
import { SingularMatrix, SparseLU } from '../numerics/sparse.ts';
import type { SweepPoint } from '../solve/sweep.ts';
import type { Transfer } from '../solve/transfer.ts';

/** Share of every transistor and diode by designator; `reference` is the quiescent slope. */
export function sharesOf(transfer: Transfer, reference: number, unhurt: SweepPoint, limit: SweepPoint): Record<string, number> {
  const { kernel } = transfer;
  const { network } = kernel;
  const devices = [...network.transistors, ...network.diodes];
  kernel.evaluate(unhurt.x, null, false);
  const before = Float64Array.from(kernel.slopes);
  kernel.evaluate(limit.x, null, false);
  const difference = before.map((s, k) => s - kernel.slopes[k]);
  const g = Float64Array.from(kernel.g);
  const lu = new SparseLU(kernel.pattern);
  const unit = new Float64Array(kernel.n);
  const solution = new Float64Array(kernel.n);
  const slopeWith = (k: number | null): number => {
    const values = Float64Array.from(g);
    if (k !== null) kernel.addDevice(values, k, difference, DEVICE_SLOPES * k);
    try {
      lu.factor(values);
    } catch (e) {
      if (e instanceof SingularMatrix) return Number.NaN;
      throw e;
    }
    unit.fill(0);
    unit[network.nodes.length + network.generator] = 1;
    lu.solve(unit, solution);
    return solution[network.outputNode];
  };
  const atLimit = slopeWith(null);
  const shares: Record<string, number> = {};
  devices.forEach((d, k) => {
    const share = (slopeWith(k) - atLimit) / (reference - atLimit);
    if (Number.isFinite(share)) shares[d.part] = share;
  });
  return shares;
}

/** What the shares say: who is named, and whether shares alone would allow a proof. */
export interface Blame {
  /** The device of the largest share; null where none reaches 0.1. */
  part: string | null;
  /** A second one that is named with it, null where the first stands alone. */
  second: string | null;
}

const NEVER = 0.1;
const RIVAL = 0.5;
const PLAUSIBLE = [0.5, 1.2];

export function blame(shares: Record<string, number>): Blame {
  const ranked = Object.entries(shares).sort((a, b) => b[1] - a[1]);
  if (ranked.length === 0 || ranked[0][1] < NEVER) return { part: null, second: null };
  const [part, share] = ranked[0];
  const next = ranked[1];
  const rivalled = next !== undefined && next[1] >= NEVER && (next[1] > RIVAL * share || share < PLAUSIBLE[0] || share > PLAUSIBLE[1]);
  return { part, second: rivalled ? next[0] : null };
}
