import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pumpedLevel } from './pumping.ts';

describe('an overdriven follower behind a capacitor', () => {
  // Check E15 (derived there, with an independent average over 400000 points): 5.5 V at rest, 2.4 V peak, 2200 and 330 ohms.
  it('charges its capacitor to where the load has no mean', () => {
    const share = 2200 / 2530;
    const found = pumpedLevel(5.5, share, 2.4);
    expect(found?.shift).toBeCloseTo(0.717993316587, 6);
    // V_C/(1 + R_E/R_L) below zero at the load.
    expect(5.5 - (found?.level ?? 0)).toBeCloseTo(share * 6.21799331659, 6);
  });

  it('is cut nearer to the middle the more it is overdriven, and never rises where nothing is cut', () => {
    const share = fc.double({ min: 0.3, max: 0.97, noNaN: true });
    fc.assert(
      fc.property(share, fc.double({ min: 1.01, max: 4, noNaN: true }), fc.double({ min: 1.01, max: 2, noNaN: true }), (g, over, more) => {
        const room = 5 * (1 - g);
        const [one, two] = [pumpedLevel(5, g, room * over), pumpedLevel(5, g, room * over * more)];
        expect(one?.shift ?? Number.NaN).toBeGreaterThan(0);
        expect(one?.level ?? Number.NaN).toBeLessThan(room);
        expect(two?.level ?? Number.NaN).toBeLessThan(one?.level ?? Number.NaN);
      }),
    );
    expect(pumpedLevel(5, 0.8, 0.5)?.shift ?? 0).toBeLessThan(1e-9);
  });
});
