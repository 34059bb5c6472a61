/** How many frames pass between an input of a drag and its result on the page, counted in a real Chromium. */
import { readdirSync, readFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bench, startBench } from './browser.ts';
import { fragment } from './sheets.ts';

let bench: Bench;
beforeAll(async () => {
  bench = await startBench();
});
afterAll(async () => {
  await bench.close();
});

interface Counted {
  /** Frames from the one that delivered an input to the one that showed it or a newer one. */
  frames: number[];
  /** Main-thread time of a frame's own writing, ms. */
  writing: number[];
  /** Engine time of the frames shown, ms, both workers added. */
  engine: number[];
  /** Time between frames, ms. */
  between: number[];
}

/** Drags a knob by one step in each frame and counts. */
async function drag(page: Page, name: string, steps: number): Promise<Counted> {
  return page.evaluate(
    async ({ label, count }) => {
      const knob = document.querySelector<HTMLElement>(`[role=slider][aria-label="${label}"]`);
      if (knob === null) throw new Error(`no knob ${label}`);
      const root = document.documentElement;
      const box = knob.getBoundingClientRect();
      const [x, y] = [box.left + 40, box.top + 20];
      const send = (kind: string, at: number): void => {
        knob.dispatchEvent(new PointerEvent(kind, { pointerId: 1, bubbles: true, clientX: at, clientY: y, button: 0, isPrimary: true }));
      };
      knob.setPointerCapture = () => undefined;
      const counted: Counted = { frames: [], writing: [], engine: [], between: [] };
      let frame = 0;
      let last = performance.now();
      const open: { input: number; frame: number }[] = [];
      const seen = new MutationObserver(() => {
        const shown = Number(root.dataset.answered);
        while (open.length > 0 && open[0].input <= shown) counted.frames.push(frame - (open.shift()?.frame ?? 0));
        counted.engine.push(Number(root.dataset.engine));
        counted.writing.push(Number(root.dataset.writing));
      });
      seen.observe(root, { attributes: true, attributeFilter: ['data-answered'] });
      send('pointerdown', x);
      await new Promise<void>((done) => {
        let sent = 0;
        const tick = (): void => {
          frame += 1;
          const now = performance.now();
          counted.between.push(now - last);
          last = now;
          if (sent < count) {
            const before = Number(root.dataset.wanted);
            // A triangle of 24 steps up and down, so that the value stays in reach.
            const phase = sent % 48;
            sent += 1;
            send('pointermove', x - 6 * (phase < 24 ? phase + 1 : 47 - phase));
            const input = Number(root.dataset.wanted);
            if (input > before) open.push({ input, frame });
            requestAnimationFrame(tick);
          } else if (open.length > 0) requestAnimationFrame(tick);
          else done();
        };
        requestAnimationFrame(tick);
      });
      send('pointerup', x);
      seen.disconnect();
      return counted;
    },
    { label: name, count: steps },
  );
}

function percentile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}

const EXAMPLES = new URL('../../examples/', import.meta.url);
const STEPS = 300;
/** ms for one drag of so many steps on a machine that does other things besides. */
const LONGEST_DRAG = 90_000;

const figures = (values: number[]): string => `${percentile(values, 0.5).toFixed(1)} (95 %: ${percentile(values, 0.95).toFixed(1)})`;

async function counted(text: string, name: string): Promise<{ counted: Counted; faults: string[] }> {
  const { page, faults } = await bench.open({ fragment: fragment(text) });
  await page.waitForFunction(
    () => document.documentElement.dataset.full !== undefined && (document.querySelector('.headline')?.textContent ?? '') !== '',
    null,
    { timeout: 30_000 },
  );
  const drags = await drag(page, name, STEPS);
  await page.context().close();
  return { counted: drags, faults };
}

// Printed rather than judged: the machine is shared while tests run, so the bounds only catch a hang or a lost input.
describe('a drag of 300 steps', () => {
  const cases = [
    ['headphone-follower.sheet.yaml', 'frequency'],
    ...readdirSync(EXAMPLES)
      .filter((name) => name.endsWith('.sheet.yaml'))
      .map((name) => [name, 'peak to peak, open circuit']),
  ];
  it.each(cases)(
    'of %s by its knob "%s" shows every input, each frame of one input',
    async (file, name) => {
      const { counted: c, faults } = await counted(readFileSync(new URL(file, EXAMPLES), 'utf8'), name);
      const next = c.frames.filter((frames) => frames <= 1).length / c.frames.length;
      console.log(
        `${file}, ${name}: frames ${figures(c.frames)}, ${(100 * next).toFixed(0)} % in the next; engine ms ${figures(c.engine)}; writing ms ${figures(c.writing)}; between frames ms ${figures(c.between)}; load ${(loadavg()[0] / cpus().length).toFixed(1)} per core`,
      );
      expect(c.frames.length).toBeGreaterThan(STEPS / 2);
      expect(percentile(c.frames, 0.95)).toBeLessThan(STEPS);
      expect(faults).toEqual([]);
    },
    LONGEST_DRAG,
  );
});
