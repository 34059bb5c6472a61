/**
 * Seven stages were laid by hand at 600 px, with scores by the same weights (our own target drawings, no outside
 * source). The layout must come within 40 points of each, without a fault.
 */
import { describe, expect, it } from 'vitest';
import { layOut, scoreOf } from '../../src/drawing/index.ts';
import { restOf, sheetsIn } from './rest.ts';

const BY_HAND: Record<string, number> = {
  'class-ab-bootstrap': 166,
  'split-emitter-follower': 37,
  'long-tailed-pair': 72,
  'follower-on-sink': 42,
  'complementary-pair': 28,
  'darlington-chime': 40,
  'pnp-follower': 28,
};
const GOOD_ENOUGH = 40;

const sheets = sheetsIn(new URL('./sheets/', import.meta.url));

describe('the target drawings', () => {
  for (const [name, byHand] of Object.entries(BY_HAND)) {
    it(`lays ${name} out within ${GOOD_ENOUGH} points of the drawing by hand, without a fault`, { timeout: 60_000 }, () => {
      const sheet = sheets.find((s) => s.name === name)!.sheet;
      const score = scoreOf(layOut(sheet, { width: 600, ...restOf(sheet) }));
      expect(score.faults).toEqual([]);
      expect(score.total).toBeLessThanOrEqual(byHand + GOOD_ENOUGH);
    });
  }

  it('draws every stage of the fixtures and of the examples without a fault at 600, 440 and 350 px', { timeout: 600_000 }, () => {
    const examples = sheetsIn(new URL('../../examples/', import.meta.url));
    const faults: string[] = [];
    for (const { name, sheet } of [...sheets, ...examples]) {
      const rest = restOf(sheet);
      for (const width of [600, 440, 350]) {
        for (const fault of scoreOf(layOut(sheet, { width, ...rest })).faults) faults.push(`${name} at ${width}: ${fault}`);
      }
    }
    expect(faults).toEqual([]);
  });
});
