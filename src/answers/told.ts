/** Which stretch of a waveform is told first, and which way the output went there. */
import type { Stretch, WaveformAnswer } from './types.ts';

/** Which way the output went, whichever way the drive goes. */
export type Side = 'high' | 'low';

type Figures = Pick<WaveformAnswer, 'nodes' | 'time' | 'period' | 'duration' | 'measures'>;

/** Mean of the samples of one node that lie in a stretch (which may run over the period's end), V; null without any. */
function meanWithin(answer: Figures, node: string, from: number, to: number): number | null {
  const samples = answer.nodes[node];
  if (samples === undefined) return null;
  const span = answer.period ?? answer.duration ?? 0;
  let sum = 0;
  let count = 0;
  answer.time.forEach((t, k) => {
    if ((t >= from && t <= to) || (t + span >= from && t + span <= to)) {
      sum += samples[k];
      count += 1;
    }
  });
  return count === 0 ? null : sum / count;
}

/** Whether the output is above or below its mean in a stretch; undefined where the output is not known. */
export function sideOf(stretch: Pick<Stretch, 'from' | 'to'>, answer: Figures, output: string): Side | undefined {
  const mean = answer.measures[output]?.mean;
  const within = meanWithin(answer, output, stretch.from, stretch.to);
  if (mean === undefined || within === null) return undefined;
  return within < mean ? 'low' : 'high';
}

/** The stretch that the output shows most: the longest with a cause. */
export function worstStretch(stretches: readonly Stretch[]): Stretch | null {
  return stretches
    .filter((s) => s.cause !== null)
    .reduce<Stretch | null>((long, s) => (long === null || s.to - s.from > long.to - long.from ? s : long), null);
}
