/**
 * Crossings counted by hand in the pictures, by eye and pencil, against what the score counts. A layout that
 * changes asks for a new count: draw the sheet with `tools/draw-all.mjs --out` and look.
 */
import { describe, expect, it } from 'vitest';
import { layOut, scoreOf } from '../../src/drawing/index.ts';
import { generateStage } from '../stages/generator.ts';
import { restOf, sheetsIn } from './rest.ts';

const DRAWN: Record<string, number> = {
  // Bootstrap over the row of `top`; feedback over the row of `bot` (by C2's wire) and over the driver's leg.
  'class-ab-bootstrap': 3,
  'split-emitter-follower': 0,
  'long-tailed-pair': 0,
  'complementary-pair': 0,
  'darlington-chime': 0,
  'pnp-follower': 0,
  'cable-driver': 0,
  'darlington-loudspeaker': 0,
  'gain-and-follower': 0,
  'pair-bias-diodes': 0,
  'pair-dead-zone': 0,
  'split-follower': 0,
  'headphone-follower': 0,
  'pair-multiplier': 0,
  'two-pools': 0,
};
const GENERATED: Record<number, number> = {
  // R3's row over the second collector's leg.
  70: 1,
  // Folded in four: a row over the second mirror leg; an open end over the diode's leg.
  75: 2,
  // The mirror's row over the copy's leg.
  76: 1,
  // Two rows of the lower half, each over one leg.
  78: 2,
  79: 1,
  81: 2,
  3: 2,
  5: 0,
};

describe('crossings', () => {
  it('are as many as a person counts', { timeout: 300_000 }, () => {
    const sheets = [...sheetsIn(new URL('./sheets/', import.meta.url)), ...sheetsIn(new URL('../../examples/', import.meta.url))];
    const counted: Record<string, number> = {};
    for (const name of Object.keys(DRAWN)) {
      const sheet = sheets.find((s) => s.name === name)!.sheet;
      counted[name] = scoreOf(layOut(sheet, { width: 600, ...restOf(sheet) })).crossings;
    }
    expect(counted).toEqual(DRAWN);
    const generated = Object.fromEntries(
      Object.keys(GENERATED).map((i) => [i, scoreOf(layOut(generateStage(Number(i)), { width: 600 })).crossings]),
    );
    expect(generated).toEqual(GENERATED);
  });
});
