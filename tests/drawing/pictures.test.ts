/** Three pictures that a person has looked at, byte by byte. */
import { describe, expect, it } from 'vitest';
import { drawSvg, layOut } from '../../src/drawing/index.ts';
import { restOf, sheetsIn } from './rest.ts';

const sheets = sheetsIn(new URL('./sheets/', import.meta.url));

const PICTURES = [
  { name: 'class-ab-bootstrap', width: 600, habit: 'rectangle' },
  { name: 'split-emitter-follower', width: 350, habit: 'rectangle' },
  { name: 'states', width: 600, habit: 'zigzag' },
] as const;

describe('the pictures', () => {
  for (const { name, width, habit } of PICTURES) {
    it(`of ${name} at ${width} px with ${habit} resistors is the one that was looked at`, { timeout: 60_000 }, async () => {
      const sheet = sheets.find((s) => s.name === name)!.sheet;
      const rest = restOf(sheet);
      const plan = layOut(sheet, { width, ...rest });
      const overRating = name === 'states' ? ['Q5'] : [];
      const svg = drawSvg(
        plan,
        { ...rest.values, overRating },
        { title: sheet.title, description: `${sheet.title}, at rest`, habit, theme: 'paper' },
      );
      await expect(svg).toMatchFileSnapshot(`./pictures/${name}-${width}.svg`);
    });
  }
});
