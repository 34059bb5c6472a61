/** The harmonics of the settled output as stems, in per cent of the fundamental. */
import type { WaveformAnswer } from '../answers/types.ts';
import { say } from '../words/numbers.ts';
import type { Line, Scene } from './scene.ts';

/** Stems above this share of the largest carry their figure. */
const LABELLED_ABOVE = 0.2;

/** The scene of the spectrum; null where the answer has none (a run from switch-on) or no fundamental to compare with. */
export function spectrumScene(answer: WaveformAnswer): Scene | null {
  const fundamental = answer.spectrum?.fundamental.magnitude;
  if (answer.spectrum === undefined || !fundamental || answer.period === null) return null;
  const shares = answer.spectrum.harmonics.map((magnitude) => magnitude / fundamental);
  const numbers = shares.map((_, k) => k + 2);
  const largest = Math.max(...shares, 1e-6);
  const labels: (Line | null)[] = shares.map((share) => (share > LABELLED_ABOVE * largest ? [{ text: say(share, 'share') }] : null));
  return {
    name: 'spectrum',
    title: 'Harmonics of the output',
    description: `The largest harmonic is ${say(largest, 'share')} of the fundamental.`,
    columns: [
      [
        {
          x: {
            name: 'harmonic',
            unit: 'number',
            note: `multiples of ${say(1 / answer.period, 'Hz')}`,
            from: 1,
            to: numbers[numbers.length - 1] ?? 2,
            scale: 'linear',
            steps: 'whole',
          },
          y: { unit: 'share', of: 'of the fundamental', from: 0, to: largest, scale: 'linear' },
          height: 120,
          marks: [{ kind: 'bars', x: numbers, y: shares, look: 'stem', labels }],
          showX: true,
        },
      ],
    ],
    notes: [],
  };
}
