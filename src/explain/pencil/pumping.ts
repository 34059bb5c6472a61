/** An overdriven follower charges its coupling capacitor until what flows in while it conducts flows out while it is off. */
import { atan2 } from '../../numerics/elementary.ts';
import { legsAt, type RestFacts, railVolts } from './facts.ts';
import { evaluate } from './formula.ts';
import type { OutputFollower } from './output.ts';
import { lookInto } from './seen.ts';

export interface Pumped {
  /** How far below its mean the sine is then cut, V; negative where it is cut above. */
  level: number;
  /** By how much the capacitor's voltage has risen, V. */
  shift: number;
}

/** The root is found to this share of the amplitude. */
const HALVINGS = 60;

const arcsin = (x: number): number => atan2(x, Math.sqrt(Math.max(0, 1 - x * x)));

/**
 * With the emitter at V above its resistor's rail at rest, g = R_E/(R_E + R_L) and a sine of amplitude A, the clipped wave
 * has no mean in the load when V_C(1 − g) = [u(π/2 + arcsin(u/A)) + √(A² − u²)]/π, u = V − g V_C (derived: ideal device,
 * large capacitor).
 */
export function pumpedLevel(volts: number, share: number, amplitude: number): Pumped | null {
  const lacks = (u: number): number => {
    const mean = (u * (Math.PI / 2 + arcsin(u / amplitude)) + Math.sqrt(amplitude * amplitude - u * u)) / Math.PI;
    return ((volts - u) / share) * (1 - share) - mean;
  };
  let [low, high] = [-amplitude, Math.min(amplitude, volts)];
  if (!(amplitude > 0 && share > 0 && share < 1) || lacks(low) < 0 || lacks(high) > 0) return null;
  for (let k = 0; k < HALVINGS; k++) {
    const middle = (low + high) / 2;
    if (lacks(middle) > 0) low = middle;
    else high = middle;
  }
  return { level: low, shift: (volts - low) / share - volts };
}

/** The same for a follower of a sheet behind a capacitor; null where its emitter does not stand on one resistor to a rail. */
export function pumped(facts: RestFacts, { t, share, coupled }: OutputFollower, amplitude: number): Pumped | null {
  const legs = legsAt(facts, t.emitter);
  const rail = legs.length === 1 ? railVolts(facts, legs[0].end) : null;
  const seen = lookInto(facts, t.emitter, { without: [t.name] });
  if (!coupled || share.length > 0 || rail === null || !seen) return null;
  // What the signal sees is R_E and R_L side by side: R_E/(R_E + R_L) is one less what that is of R_E.
  return pumpedLevel(Math.abs(facts.nodes[t.emitter] - rail), 1 - evaluate(seen) / evaluate(legs[0].formula), amplitude);
}
