/** The generator's electromotive force in time: sine, triangle or square, odd about t = 0, on its offset. */
import { sin } from '../numerics/elementary.ts';
import type { Drive, Sheet } from '../sheet/types.ts';

/** Share of the period that a square's edge takes where the sheet does not say. */
const USUAL_EDGE = 1 / 1000;
/** Peak over rms. */
const CREST = { sine: Math.SQRT2, triangle: Math.sqrt(3), square: 1 } as const;

/** Peak of the alternating electromotive force as the sheet gives it, V; null without one. */
export function emfPeak(sheet: Sheet): number | null {
  const { drive } = sheet;
  if (!drive?.amplitude || drive.waveform === 'none') return null;
  const { form, volts } = drive.amplitude;
  if (form === 'peakToPeak') return volts / 2;
  if (form === 'peak') return volts;
  return drive.waveform === 'square' ? volts / Math.sqrt(1 - (2 / 3) * edgeShare(drive) * 2) : volts * CREST[drive.waveform];
}

/** Length of a square's edge as a share of the period. */
function edgeShare(drive: Drive): number {
  if (drive.riseTime === undefined || drive.frequency === undefined) return USUAL_EDGE;
  return Math.min(0.5, drive.riseTime * drive.frequency);
}

/** Shape of one period. */
export interface Shape {
  /** Value at phase p (periods), between -1 and 1. */
  at: (p: number) => number;
  /** Phases at which the slope jumps, rising, within [0, 1). */
  corners: number[];
}

export function shapeOf(drive: Drive): Shape {
  switch (drive.waveform) {
    case 'triangle':
      return {
        corners: [0.25, 0.75],
        at: (p) => {
          const q = p - Math.floor(p);
          return q < 0.25 ? 4 * q : q < 0.75 ? 2 - 4 * q : 4 * q - 4;
        },
      };
    case 'square': {
      const half = edgeShare(drive) / 2;
      return {
        corners: [half, 0.5 - half, 0.5 + half, 1 - half],
        at: (p) => {
          const q = p - Math.floor(p);
          if (q < half) return q / half;
          if (q <= 0.5 - half) return 1;
          if (q < 0.5 + half) return (0.5 - q) / half;
          if (q <= 1 - half) return -1;
          return (q - 1) / half;
        },
      };
    }
    default:
      return { corners: [], at: (p) => sin(2 * Math.PI * (p - Math.floor(p))) };
  }
}
