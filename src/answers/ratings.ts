/** Where a device's rating is passed on the way to a limit. */
import { conductionOf } from '../circuit/device-figures.ts';
import type { Limit } from '../solve/limits.ts';
import type { Sweep, SweepPoint } from '../solve/sweep.ts';
import type { SwingLimit } from './types.ts';

/** The first rating passed between rest and the limit: collector current and collector-emitter voltage, as the curve has them. */
export function ratingPassed(sweep: Sweep, path: SweepPoint[], limit: Limit): SwingLimit['rating'] | null {
  const { kernel } = sweep.transfer;
  const { network } = kernel;
  const v = (p: SweepPoint, i: number): number => (i < 0 ? 0 : p.x[i]);
  for (const p of [...path.filter((q) => limit.direction * (limit.at.drive - q.drive) > 0), limit.at]) {
    kernel.evaluate(p.x, null, false);
    for (const [k, t] of network.transistors.entries()) {
      const { ratings } = t.parameters;
      const over = (rating: string): SwingLimit['rating'] => ({ part: t.part, rating, volts: p.output, drive: p.drive });
      if (ratings?.collectorCurrent !== undefined && Math.abs(conductionOf(kernel, k).collectorCurrent) > ratings.collectorCurrent)
        return over('collectorCurrent');
      if (
        ratings?.collectorEmitterVoltage !== undefined &&
        Math.abs(v(p, t.outer.collector) - v(p, t.outer.emitter)) > ratings.collectorEmitterVoltage
      ) {
        return over('collectorEmitterVoltage');
      }
    }
  }
  return null;
}
