/** Corner frequencies: the first crossings of 1/sqrt(2) of the mid-band gain, outwards from mid-band (`physics.md`, Corner). */
import { log, pow } from '../numerics/elementary.ts';

const LOWEST = 1e-6; // Hz
const HIGHEST = 1e10; // Hz
const PER_DECADE = 24;
/** Positions tried for the decade of least variation, and samples in it. */
const DECADES_TRIED = 41;
const IN_DECADE = 11;

export interface Corners {
  midBand: { frequency: number; gain: number };
  low: number | null;
  high: number | null;
}

const tenTo = (d: number): number => pow(10, d);

/** `gainAt(f)` is the magnitude of the overall gain at f hertz; `drive` is the drive frequency. */
export function findCorners(gainAt: (hertz: number) => number, drive: number): Corners {
  const samples = Array.from({ length: DECADES_TRIED + (DECADES_TRIED - 1) }, (_, k) => gainAt(drive * tenTo(k / (DECADES_TRIED - 1) - 1)));
  let best = Number.POSITIVE_INFINITY;
  let first = 0;
  const stride = (DECADES_TRIED - 1) / (IN_DECADE - 1);
  for (let k = 0; k < DECADES_TRIED; k++) {
    let least = Number.POSITIVE_INFINITY;
    let most = 0;
    for (let s = 0; s < IN_DECADE; s++) {
      const g = samples[k + s * stride];
      least = Math.min(least, g);
      most = Math.max(most, g);
    }
    const varies = least > 0 ? most / least : Number.POSITIVE_INFINITY;
    if (varies < best) {
      best = varies;
      first = k;
    }
  }
  const frequency = drive * tenTo(first / (DECADES_TRIED - 1) - 0.5);
  const gain = gainAt(frequency);
  const level = gain * Math.SQRT1_2;
  return { midBand: { frequency, gain }, low: crossing(gainAt, frequency, level, -1), high: crossing(gainAt, frequency, level, 1) };
}

function crossing(gainAt: (hertz: number) => number, start: number, level: number, direction: 1 | -1): number | null {
  let inside = start;
  for (let k = 1; ; k++) {
    const f = start * tenTo((direction * k) / PER_DECADE);
    if (f < LOWEST || f > HIGHEST) return null;
    if (gainAt(f) <= level) return refine(gainAt, inside, f, level);
    inside = f;
  }
}

/** Bisection in the logarithm, `inside` above the level and `outside` below it. */
function refine(gainAt: (hertz: number) => number, inside: number, outside: number, level: number): number {
  let a = inside;
  let b = outside;
  while (Math.abs(b - a) > 1e-9 * a) {
    const mid = Math.sqrt(a * b);
    if (mid === a || mid === b) break;
    if (gainAt(mid) > level) a = mid;
    else b = mid;
  }
  return Math.sqrt(a * b);
}

/** Decades between two frequencies. */
export function decades(from: number, to: number): number {
  return log(to / from) / Math.LN10;
}
