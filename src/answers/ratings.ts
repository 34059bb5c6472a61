/** Where a device's rating is passed on the way to a limit. */
import { conductionOf, dissipations } from '../circuit/device-figures.ts';
import { square } from '../numerics/elementary.ts';
import type { Limit } from '../solve/limits.ts';
import type { Stage } from '../solve/stage.ts';
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

/** The parts that pass a rating at rest: a resistor's power, a transistor's dissipation or collector current. */
export function overRatedAtRest({ sheet, kernel, network, x }: Stage): Set<string> {
  const v = (i: number): number => (i < 0 ? 0 : x[i]);
  const over = new Set<string>();
  for (const part of sheet.parts) {
    if (part.kind !== 'resistor' || part.power === undefined) continue;
    const element = network.resistors.find((r) => r.part === part.name && !r.inner && !r.ofLoad);
    if (element && square(v(element.a) - v(element.b)) / element.resistance > part.power) over.add(part.name);
  }
  kernel.evaluate(x, null, false);
  const watts = dissipations(kernel, x);
  for (const [k, { part, parameters }] of network.transistors.entries()) {
    const { dissipation, collectorCurrent } = parameters.ratings ?? {};
    if (dissipation !== undefined && watts[k] > dissipation) over.add(part);
    if (collectorCurrent !== undefined && Math.abs(conductionOf(kernel, k).collectorCurrent) > collectorCurrent) over.add(part);
  }
  return over;
}
