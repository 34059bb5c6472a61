/** The resting point as the drawing takes it: values for its slots, and what the layout makes of them. */
import type { QuiescentAnswer } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import type { LayoutOptions } from './layout.ts';
import type { DrawingValues } from './values.ts';

/** Volts, currents and states of a quiescent answer, currents positive from each part's first terminal. */
export function restValues(answer: QuiescentAnswer, sheet: Sheet): DrawingValues {
  const currents: NonNullable<DrawingValues['currents']> = {};
  const devices: NonNullable<DrawingValues['devices']> = {};
  for (const { name, kind, lifted } of sheet.parts) {
    const figures = answer.parts[name];
    if (figures === undefined) continue;
    if ('collectorCurrent' in figures) {
      // The answer counts forward conduction positive for both polarities; the drawing counts from the collector.
      const sign = kind === 'pnp' ? -1 : 1;
      currents[name] = { first: sign * figures.collectorCurrent, second: sign * figures.emitterCurrent };
      if (!lifted) devices[name] = { state: figures.region, beta: figures.beta };
    } else {
      currents[name] = figures.current;
      if (figures.region !== undefined && !lifted) devices[name] = { state: figures.region };
    }
  }
  return { volts: { gnd: 0, ...answer.nodes }, currents, devices };
}

/** What of it the layout needs, so that current flows down in the drawing. */
export function restLayout({ volts, currents = {} }: DrawingValues): Pick<LayoutOptions, 'potentials' | 'currents'> {
  const first = Object.entries(currents).map(([name, value]): [string, number] => [name, typeof value === 'object' ? value.first : value]);
  return { potentials: volts, currents: Object.fromEntries(first) };
}
