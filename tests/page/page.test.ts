// biome-ignore-all lint/performance/useDomNodeTextContent: what a reader sees is what is tested.
import { cpus, loadavg } from 'node:os';
import { gzipSync } from 'node:zlib';
import axe from 'axe-core';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bench, type Opened, startBench } from './browser.ts';
import { FOLLOWER, fragment } from './sheets.ts';

/** ms until the first answer; about half a second on a quiet machine. */
const LONGEST_START = 10_000;

let bench: Bench;
beforeAll(async () => {
  bench = await startBench();
});
afterAll(async () => {
  await bench.close();
});

/** Opens the follower and waits until every question is answered. */
async function follower(how: Parameters<Bench['open']>[0] = {}): Promise<Opened> {
  const opened = await bench.open({ ...how, fragment: fragment(FOLLOWER) });
  await settled(opened.page);
  return opened;
}
async function settled(page: Page): Promise<void> {
  await page.waitForFunction(
    () =>
      (document.querySelector('.headline')?.textContent ?? '').length > 0 &&
      document.querySelector('.stale') === null &&
      document.querySelector('.waits') === null &&
      document.querySelector('.stage .mark, .nothing') !== null &&
      document.documentElement.dataset.wanted === document.documentElement.dataset.shown,
    null,
    { timeout: 20_000 },
  );
}
const knob = (page: Page, name: string) => page.getByRole('slider', { name, exact: true });
const said = async (page: Page, name: string): Promise<string> =>
  ((await knob(page, name).getAttribute('aria-valuetext')) ?? '').replace(/\u00a0/g, ' ');
const sheetText = (page: Page): Promise<string> =>
  page.evaluate(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-content')?.textContent ?? '');
const undoName = (page: Page): Promise<string> => page.locator('.undo .txt').first().innerText();
const currents = async (page: Page): Promise<string> => (await page.locator('.t-current').allTextContents()).join(' ');
const headline = (page: Page): Promise<string> => page.locator('.headline').innerText();

describe('the first screen', () => {
  it('says in its largest sentence what stops the stage, with both currents', async () => {
    const { page, faults } = await follower();
    expect((await headline(page)).replace(/\u00a0/g, ' ')).toMatch(
      /^Flat at −0\.2\d+ V: the phones return \d+(\.\d+)? mA, R3 can take \d\.\d+ mA/,
    );
    const sizes = await page.evaluate(() =>
      [...document.querySelectorAll('body *')]
        .filter((element) => element.children.length === 0 && (element.textContent ?? '').trim() !== '')
        .map((element) => Number.parseFloat(getComputedStyle(element).fontSize)),
    );
    const size = await page.locator('.headline').evaluate((element) => Number.parseFloat(getComputedStyle(element).fontSize));
    expect(size).toBe(Math.max(...sizes));
    expect(faults).toEqual([]);
    await page.context().close();
  });

  it('puts that sentence directly under the drawing on a narrow screen', async () => {
    const { page } = await follower({ width: 390, height: 844, touch: true });
    const order = await page.evaluate(() => {
      const top = (selector: string): number => document.querySelector(selector)?.getBoundingClientRect().top ?? Number.NaN;
      return [top('.drawing'), top('.headline'), top('.strip'), top('.drive')];
    });
    expect(order).toEqual([...order].sort((a, b) => a - b));
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
    await page.context().close();
  });

  it('answers soon after the page is asked for, with at most 250 kB of compressed script', async () => {
    // Printed rather than judged, as other tests run beside it: the bound catches a page that waits for something.
    const share = Math.max(1, loadavg()[0] / cpus().length);
    const times: number[] = [];
    let bytes = 0;
    for (let attempt = 0; attempt < 3; attempt += 1) {
      const { page } = await bench.open({ fragment: fragment(FOLLOWER) });
      await page.waitForFunction(() => performance.getEntriesByName('first answer').length > 0);
      const loaded = await page.evaluate(() => {
        const first = performance.getEntriesByName('first answer')[0].startTime;
        return {
          first,
          scripts: performance
            .getEntriesByType('resource')
            .filter((entry) => entry.name.endsWith('.js') && entry.startTime < first)
            .map((entry) => entry.name),
        };
      });
      times.push(loaded.first);
      bytes = 0;
      for (const url of new Set(loaded.scripts)) bytes += gzipSync(Buffer.from(await (await fetch(url)).arrayBuffer())).length;
      await page.context().close();
    }
    console.log(
      `first answer after ${times.map((time) => time.toFixed(0)).join(', ')} ms at a load of ${share.toFixed(1)} per core; ${(bytes / 1000).toFixed(0)} kB of compressed script before it`,
    );
    expect(Math.min(...times)).toBeLessThan(LONGEST_START);
    expect(bytes).toBeGreaterThan(50_000);
    expect(bytes).toBeLessThan(250_000);
  });

  it('breaks no rule of axe in either theme, and none at 390 px', async () => {
    for (const how of [{ theme: 'light' as const }, { theme: 'dark' as const }, { width: 390, height: 844, touch: true }]) {
      const { page } = await follower(how);
      await page.evaluate(axe.source);
      const found = await page.evaluate(async () => {
        const runner = (globalThis as unknown as { axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> } })
          .axe;
        const { violations } = await runner.run();
        return violations.map((violation) => `${violation.id}: ${violation.nodes.map((node) => node.html.slice(0, 120)).join(' | ')}`);
      });
      expect(found).toEqual([]);
      await page.context().close();
    }
  });
});

describe('a knob', () => {
  it('drags its ruler under the fixed pointer, and the sheet changes when it is let go, as one step', async () => {
    const { page } = await follower();
    const box = await knob(page, 'peak to peak, open circuit').boundingBox();
    if (box === null) throw new Error('the knob is not on the page');
    const before = await headline(page);
    await page.mouse.move(box.x + 60, box.y + 30);
    await page.mouse.down();
    await page.mouse.move(box.x + 54, box.y + 30);
    await page.mouse.move(box.x + 42, box.y + 30);
    await page.waitForFunction(
      () => document.querySelector('[aria-label="peak to peak, open circuit"]')?.getAttribute('aria-valuenow') === '2.2',
    );
    expect(await undoName(page)).toBe('undo');
    await page.mouse.up();
    await settled(page);
    expect(await undoName(page)).toMatch(/^undo peak to peak 2\.2/);
    expect(await said(page, 'peak to peak, open circuit')).toBe('2.2 V');
    expect(await page.locator('[data-short=waveform] .a').innerText()).not.toBe(before);
    await page.keyboard.press('Control+z');
    await page.waitForFunction(
      () => document.querySelector('[aria-label="peak to peak, open circuit"]')?.getAttribute('aria-valuenow') === '1.8',
    );
    await page.context().close();
  });

  it('goes through 1-2-5 with the arrow keys, finer with shift, by decades with the page keys, and back with Escape', async () => {
    const { page } = await follower();
    const amplitude = knob(page, 'peak to peak, open circuit');
    await amplitude.focus();
    await page.keyboard.press('ArrowUp');
    await page.waitForFunction(() => document.activeElement?.getAttribute('aria-valuenow') === '2');
    await page.keyboard.press('Shift+ArrowUp');
    await page.waitForFunction(() => document.activeElement?.getAttribute('aria-valuenow') === '2.2');
    await page.keyboard.press('PageDown');
    await page.waitForFunction(() => document.activeElement?.getAttribute('aria-valuenow') === '0.22');
    await page.keyboard.press('Escape');
    await page.waitForFunction(() => document.activeElement?.getAttribute('aria-valuenow') === '1.8');
    expect(await undoName(page)).toBe('undo');
    await page.context().close();
  });

  it('follows the wheel', async () => {
    const { page } = await follower();
    await knob(page, 'frequency').hover();
    await page.mouse.wheel(0, -100);
    await page.waitForFunction(
      () => document.querySelector('[role=slider][aria-label=frequency]')?.getAttribute('aria-valuenow') === '500',
    );
    await page.waitForFunction(() => (document.querySelector('.undo .txt')?.textContent ?? '').startsWith('undo frequency 500'));
    expect(await undoName(page)).toMatch(/frequency 500/);
    await page.context().close();
  });

  it('takes a typed quantity in any form, and says what would be right where it is none', async () => {
    const { page } = await follower();
    await knob(page, 'source resistance').focus();
    await page.keyboard.type('4k7');
    await page.keyboard.press('Enter');
    await settled(page);
    expect(await said(page, 'source resistance')).toBe('4.7 kΩ');
    await knob(page, 'peak to peak, open circuit').focus();
    await page.keyboard.type('2 Vpp');
    await page.keyboard.press('Enter');
    await settled(page);
    expect(await said(page, 'peak to peak, open circuit')).toBe('2 V');
    await knob(page, 'frequency').focus();
    await page.keyboard.type('4,7k');
    await page.keyboard.press('Enter');
    expect(await page.locator('.kerr').innerText()).toMatch(/4k7|4\.7k/);
    await page.keyboard.press('Escape');
    expect(await said(page, 'frequency')).toBe('440 Hz');
    await page.context().close();
  });

  it('goes back to the saved value on a double click', async () => {
    const { page } = await follower();
    await knob(page, 'frequency').focus();
    await page.keyboard.type('2k');
    await page.keyboard.press('Enter');
    await settled(page);
    await knob(page, 'frequency').locator('.ruler').dblclick();
    await page.waitForFunction(
      () => document.querySelector('[role=slider][aria-label=frequency]')?.getAttribute('aria-valuenow') === '440',
    );
    expect(await said(page, 'frequency')).toBe('440 Hz');
    await page.context().close();
  });
});

describe('the drawing', () => {
  it('opens the menu of a part that is clicked, and its value can be turned there', async () => {
    const { page } = await follower();
    await page.locator('g[data-part=R3]').click();
    const value = knob(page, 'R3, resistance');
    await value.waitFor();
    const standing = await page.locator('[data-short=quiescent] .a').innerText();
    await value.focus();
    await page.keyboard.press('ArrowDown');
    await page.waitForFunction(
      (before) => (document.querySelector('[data-short=quiescent] .a') as HTMLElement).innerText !== before,
      standing,
    );
    expect(await said(page, 'R3, resistance')).toBe('620 Ω');
    expect(await page.locator('g[data-part=R3]').textContent()).toContain('620 Ω');
    await page.context().close();
  });

  it('rests until the cursor is touched, then says which instant it shows, and the currents are of that instant', async () => {
    const { page } = await follower();
    expect(await page.locator('.instant').count()).toBe(0);
    expect(await page.getByRole('radio', { name: 'at rest' }).isChecked()).toBe(true);
    const atRest = await currents(page);
    await page.locator('.strip').focus();
    for (let n = 0; n < 12; n += 1) await page.keyboard.press('PageDown');
    await page.keyboard.press('Home');
    for (let n = 0; n < 12; n += 1) await page.keyboard.press('PageUp');
    await page.locator('.instant').waitFor();
    expect(await page.locator('.instant').innerText()).toMatch(/^at 1\.7/);
    expect(await page.locator('g[data-part=Q1].off').count()).toBe(1);
    expect(await currents(page)).not.toBe(atRest);
    expect(await page.locator('.read').innerText()).toMatch(/wanted/);
    await page.getByRole('radio', { name: 'at rest' }).check();
    expect(await page.locator('.instant').count()).toBe(0);
    await page.context().close();
  });

  it('turns a supply and the load in place, too', async () => {
    const { page } = await follower();
    await page.locator('g[role=button][data-node=vcc]').click();
    const supply = knob(page, 'supply vcc, voltage');
    await supply.focus();
    await page.keyboard.type('9');
    await page.keyboard.press('Enter');
    await settled(page);
    expect(await said(page, 'supply vcc, voltage')).toBe('9 V');
    expect(await undoName(page)).toBe('undo vcc 9\u00a0V');
    await page.locator('g[role=button][data-part="load resistor"]').click();
    await knob(page, 'load phones, resistance').waitFor();
    expect(await said(page, 'load phones, resistance')).toBe('32 Ω');
    await page.context().close();
  });

  it('is laid out again for another width, and its parts are touched where they then stand', async () => {
    const { page } = await follower({ width: 1024 });
    await page.setViewportSize({ width: 1440, height: 900 });
    await page.waitForFunction(() => Number(document.querySelector('.stage')?.getAttribute('width')) > 500);
    await page.locator('g[data-part=R3]').click();
    await knob(page, 'R3, resistance').waitFor();
    expect(await page.locator('.menu').count()).toBe(1);
    await page.context().close();
  });

  it('walks its parts with the arrow keys and opens one with Enter', async () => {
    const { page } = await follower();
    await page.locator('g[role=button][data-part]').first().focus();
    const first = await page.evaluate(() => (document.activeElement as SVGElement).dataset.part);
    await page.keyboard.press('ArrowRight');
    const second = await page.evaluate(() => (document.activeElement as SVGElement).dataset.part);
    expect(second).not.toBe(first);
    await page.keyboard.press('Enter');
    await page.locator('.menu').waitFor();
    await page.keyboard.press('Escape');
    await page.waitForFunction((name) => (document.activeElement as SVGElement).dataset.part === name, second);
    expect(await page.locator('.menu').count()).toBe(0);
    await page.context().close();
  });

  it('takes a pinned waveform off its node, and puts it back, as the reader chooses', async () => {
    const { page } = await follower();
    const pinned = (): Promise<string[]> => page.locator('.pin .nod').allTextContents();
    expect(await pinned()).toContain('jack');
    await page.locator('g[role=button][data-node=jack]').focus();
    await page.keyboard.press('Enter');
    await page.waitForFunction(() => ![...document.querySelectorAll('.pin .nod')].some((name) => name.textContent === 'jack'));
    expect(await pinned()).not.toContain('jack');
    await page.keyboard.press('Enter');
    await page.waitForFunction(() => [...document.querySelectorAll('.pin .nod')].some((name) => name.textContent === 'jack'));
    expect(await pinned()).toContain('jack');
    await page.context().close();
  });
});

describe('the bench verbs', () => {
  it('lift a part that is clicked on the drawing, name it in undo, and put it back', async () => {
    const { page } = await follower();
    await page.getByRole('button', { name: 'lift', exact: true }).click();
    await page.locator('g[data-part=R4]').click();
    await page.waitForFunction(() => document.querySelector('g.lifted') !== null);
    expect(await undoName(page)).toBe('undo lift R4');
    await settled(page);
    await page.keyboard.press('Control+z');
    await page.waitForFunction(() => document.querySelector('g.lifted') === null);
    await page.keyboard.press('Control+Shift+z');
    await page.waitForFunction(() => document.querySelector('g.lifted') !== null);
    expect(await undoName(page)).toBe('undo lift R4');
    await page.context().close();
  });

  it('tack a part between two nodes by the keyboard alone', async () => {
    const { page } = await follower();
    await page.getByRole('button', { name: 'tack', exact: true }).focus();
    expect(await page.locator('.hint').innerText()).toMatch(/across two nodes/);
    await page.keyboard.press('Enter');
    await page.getByLabel('First node').selectOption('out');
    await page.getByLabel('Second node').selectOption('gnd');
    await page.getByLabel('Value of the new part').fill('330');
    await page.getByLabel('Value of the new part').press('Enter');
    await page.locator('g[data-part=R5]').waitFor();
    expect(await undoName(page)).toBe('undo tack R5');
    await page.context().close();
  });

  it('take the nodes of a tack from the drawing', async () => {
    const { page } = await follower();
    await page.getByRole('button', { name: 'tack', exact: true }).click();
    await page.locator('g[role=button][data-node=out]').click();
    await page.locator('g[role=button][data-node=gnd]').click();
    await page.getByRole('button', { name: 'tack', exact: true }).last().click();
    await page.locator('g[data-part=R5]').waitFor();
    expect(await page.locator('g[data-part=R5]').count()).toBe(1);
    await page.context().close();
  });

  it('short, insert and swap from the menu of a part', async () => {
    const { page } = await follower();
    const menu = (verb: string) => page.locator('.menu').getByRole('button', { name: verb, exact: true });
    await page.locator('g[data-part=C1]').click();
    await menu('short').click();
    await page.waitForFunction(() => document.querySelector('path.m-bridge') !== null);
    expect(await undoName(page)).toBe('undo short C1');
    await page.keyboard.press('Control+z');
    await page.waitForFunction(() => document.querySelector('path.m-bridge') === null);
    await page.locator('g[data-part=Q1]').click();
    await menu('insert').click();
    await page.getByLabel('End to cut free').selectOption('base');
    await page.getByLabel('Value of the new part').fill('100');
    await page.getByLabel('Value of the new part').press('Enter');
    await page.locator('g[data-part=R5]').waitFor();
    expect(await undoName(page)).toBe('undo insert R5');
    await page.locator('g[data-part=R3]').click();
    await menu('swap').click();
    await page.getByLabel('Value of the new part').fill('330');
    await page.getByLabel('Value of the new part').press('Enter');
    await page.waitForFunction(() => (document.querySelector('g[data-part=R3]')?.textContent ?? '').includes('330'));
    expect(await undoName(page)).toMatch(/^undo swap R3/);
    await page.context().close();
  });

  it('apply the evidence of a cause as a step that undo takes back', async () => {
    const { page } = await follower();
    await page.getByRole('button', { name: 'lift Q1 and look' }).first().click();
    await page.waitForFunction(() => document.querySelector('g[data-part=Q1].lifted') !== null);
    expect(await undoName(page)).toBe('undo lift Q1');
    await page.context().close();
  });

  it('switch the load as a contact', async () => {
    const { page } = await follower();
    await page.getByRole('radio', { name: /line/ }).check({ force: true });
    await settled(page);
    expect(await undoName(page)).toBe('undo load line');
    expect(await page.locator('[data-short=impedance] .a').innerText()).toMatch(/line fed from/);
    await page.context().close();
  });
});

describe('the text of the sheet', () => {
  it('is one key away, follows the page, and keeps its comments', async () => {
    const { page, faults } = await follower();
    await page.keyboard.press('t');
    await page.waitForFunction(() => document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-content') != null);
    await page.getByRole('radio', { name: 'triangle' }).check({ force: true });
    await page.waitForFunction(() =>
      (document.querySelector('.editor')?.shadowRoot?.querySelector('.cm-content')?.textContent ?? '').includes('triangle'),
    );
    expect(await sheetText(page)).toContain('# upper half of the divider');
    expect(faults).toEqual([]);
    await page.context().close();
  });

  it('shows a problem in place, keeps the drawing of the last sound sheet, and computes again when it is mended', async () => {
    const { page } = await follower();
    await page.keyboard.press('t');
    const content = page.locator('.cm-content');
    await content.waitFor();
    await content.click();
    await page.keyboard.press('Control+End');
    await page.keyboard.type('bogus: 3\n');
    await page.locator('.problems li').first().waitFor();
    expect(await page.locator('.problems').innerText()).toMatch(/bogus/);
    expect(await page.locator('.drawing.fault').count()).toBe(1);
    expect(await page.locator('g[data-part=R3]').count()).toBe(1);
    for (let n = 0; n < 4; n += 1) await page.keyboard.press('Control+z');
    await page.waitForFunction(() => document.querySelector('.drawing.fault') === null);
    await page.context().close();
  });
});

describe('keeping work', () => {
  it('loses nothing on a reload: the change is there and can be undone', async () => {
    const { page } = await follower();
    await knob(page, 'frequency').focus();
    await page.keyboard.type('2k');
    await page.keyboard.press('Enter');
    await settled(page);
    await page.waitForTimeout(500);
    await page.reload();
    await settled(page);
    expect(await said(page, 'frequency')).toBe('2 kHz');
    await page.keyboard.press('Control+z');
    await page.waitForFunction(
      () => document.querySelector('[role=slider][aria-label=frequency]')?.getAttribute('aria-valuenow') === '440',
    );
    await page.context().close();
  });

  it('saves the sheet as its author wrote it', async () => {
    const { page } = await follower();
    const waiting = page.waitForEvent('download');
    await page.getByRole('button', { name: 'save', exact: true }).click();
    const download = await waiting;
    expect(download.suggestedFilename()).toBe('listening-post-headphone-follower.sheet.yaml');
    const stream = await download.createReadStream();
    const chunks: Buffer[] = [];
    for await (const chunk of stream) chunks.push(chunk as Buffer);
    expect(Buffer.concat(chunks).toString('utf8')).toBe(FOLLOWER);
    await page.context().close();
  });

  it('opens a file, a paste and a drop', async () => {
    const { page } = await follower();
    const other = FOLLOWER.replace('title: Listening post, headphone follower', 'title: Listening post, the other pool');
    const chooser = page.waitForEvent('filechooser');
    await page.getByRole('button', { name: 'open', exact: true }).click();
    await page.getByRole('button', { name: 'from a file' }).click();
    await (await chooser).setFiles({ name: 'other.sheet.yaml', mimeType: 'application/yaml', buffer: Buffer.from(other) });
    await page.getByRole('heading', { level: 1, name: 'Listening post, the other pool' }).waitFor();
    await page.evaluate(
      (text) => {
        const data = new DataTransfer();
        data.setData('text/plain', text);
        document.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true }));
      },
      other.replace('the other pool', 'pasted'),
    );
    await page.getByRole('heading', { level: 1, name: 'Listening post, pasted' }).waitFor();
    await page.evaluate(
      (text) => {
        const data = new DataTransfer();
        data.items.add(new File([text], 'dropped.sheet.yaml'));
        document.dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }));
      },
      other.replace('the other pool', 'dropped'),
    );
    await page.getByRole('heading', { level: 1, name: 'Listening post, dropped' }).waitFor();
    expect(await page.title()).toContain('dropped');
    await page.context().close();
  });

  it('makes a link that carries the whole sheet in its fragment', async () => {
    const { page } = await follower();
    await page.getByRole('button', { name: 'link', exact: true }).click();
    await page.waitForFunction(() => location.hash.startsWith('#sheet='));
    const link = page.url();
    const again = await bench.open({ fragment: new URL(link).hash });
    await settled(again.page);
    expect(await again.page.locator('h1').innerText()).toBe('Listening post, headphone follower');
    await again.page.context().close();
    await page.context().close();
  });

  it('works without the network after the first visit', async () => {
    const { page, faults } = await follower();
    await page.evaluate(async () => {
      const { active } = await navigator.serviceWorker.ready;
      if (active?.state !== 'activated') await new Promise((resolve) => active?.addEventListener('statechange', resolve));
    });
    await page.context().setOffline(true);
    await page.reload();
    await settled(page);
    expect((await headline(page)).length).toBeGreaterThan(0);
    expect(faults).toEqual([]);
    await page.context().close();
  });
});

describe('starting from nothing', () => {
  it('takes the example follower in at most 120 keystrokes without the mouse, and answers with the third value', async () => {
    const { page, faults } = await bench.open({ fragment: fragment(FOLLOWER) });
    await settled(page);
    let keys = 0;
    const press = async (key: string): Promise<void> => {
      keys += 1;
      await page.keyboard.press(key);
    };
    await page.getByRole('button', { name: 'open', exact: true }).focus();
    await press('Enter');
    // From "from a file" past the examples to the first outline, with Tab alone.
    for (;;) {
      const at = await page.evaluate(() => document.activeElement?.textContent ?? '');
      if (at === 'follower') break;
      await press('Tab');
      if (keys > 60) throw new Error('the outline cannot be reached');
    }
    await press('Enter');
    await page.waitForFunction(() => document.activeElement?.closest('.outline') !== null);
    const values = ['12', '39k', '56k', '1u', '', '680', '220u', '4k7', '32', '1.8', '440', '600'];
    for (const [index, value] of values.entries()) {
      for (const character of value) await press(character);
      await press('Tab');
      if (index === 1) expect(await page.locator('h1').innerText()).toBe('Listening post, headphone follower');
      if (index === 2) await page.getByRole('heading', { level: 1, name: 'Untitled follower' }).waitFor();
    }
    await press('Enter');
    await settled(page);
    console.log(`a follower from nothing in ${keys} keystrokes`);
    expect(keys).toBeLessThanOrEqual(120);
    expect((await headline(page)).length).toBeGreaterThan(0);
    expect(await page.locator('g[data-part=R3]').textContent()).toContain('680');
    expect(faults).toEqual([]);
    await page.context().close();
  });
});

describe('the answers', () => {
  it('give their figures as SVG and CSV', async () => {
    const { page } = await follower();
    const text = async (name: RegExp): Promise<string> => {
      const waiting = page.waitForEvent('download');
      await page.getByRole('button', { name }).click();
      const chunks: Buffer[] = [];
      for await (const chunk of await (await waiting).createReadStream()) chunks.push(chunk as Buffer);
      return Buffer.concat(chunks).toString('utf8');
    };
    expect(await text(/Save the figure swing as SVG/)).toMatch(/^<svg [\s\S]*<\/svg>/);
    const rows = (await text(/Save the figures of swing as CSV/)).split('\r\n');
    expect(rows.length).toBeGreaterThan(200);
    expect(rows[1]).toMatch(/^-?\d[\d.e-]*,-?\d[\d.e-]*$/);
    await page.context().close();
  });

  it('share one time cursor with the drawing and the strip', async () => {
    const { page } = await follower();
    const figure = page.locator('[data-figure=waveform] canvas');
    await figure.scrollIntoViewIfNeeded();
    const box = await figure.boundingBox();
    if (box === null) throw new Error('no waveform figure');
    await page.mouse.move(box.x + box.width * 0.6, box.y + 80);
    await page.mouse.down();
    await page.mouse.up();
    await page.locator('.figcursor').waitFor();
    const instant = await page.locator('.instant').innerText();
    expect(instant).toMatch(/^at \d/);
    expect(await page.locator('.strip').getAttribute('aria-valuetext')).toContain(instant.replace(/^at /, ''));
    await page.context().close();
  });

  it('underline the part that is pointed at on the drawing', async () => {
    const { page } = await follower();
    await page.locator('g[data-part=Q1]').focus();
    await page.waitForFunction(() => document.querySelector('.mentioned') !== null);
    expect(await page.locator('.roles .mentioned').first().innerText()).toBe('Q1');
    await page.context().close();
  });

  it('lead from the short list to their sections, without motion where the reader wants none', async () => {
    const { page } = await follower({ reducedMotion: true });
    expect(await page.evaluate(() => getComputedStyle(document.documentElement).scrollBehavior)).toBe('auto');
    await page.locator('[data-short=impedance] a').click();
    await page.waitForFunction(() => (document.getElementById('impedance')?.getBoundingClientRect().top ?? 999) < 200);
    expect(new URL(page.url()).hash).toBe('#impedance');
    await page.context().close();
  });
});

describe('the examples', () => {
  it('open one after another from the list, each drawn and answered at rest, without a fault', async () => {
    const { page, faults } = await follower();
    await page.getByRole('button', { name: 'open', exact: true }).click();
    // The panel is loaded when it is first shown.
    await page.locator('.openpanel ul').first().getByRole('button').first().waitFor();
    const names = await page.locator('.openpanel ul').first().getByRole('button').allInnerTexts();
    await page.keyboard.press('Escape');
    expect(names.length).toBeGreaterThanOrEqual(10);
    for (const name of names) {
      await page.getByRole('button', { name: 'open', exact: true }).click();
      await page.locator('.openpanel ul').first().getByRole('button', { name, exact: true }).click();
      await page.waitForFunction((title) => (document.querySelector('h1')?.textContent ?? '').endsWith(title), name, { timeout: 20_000 });
      await page.waitForFunction(
        () =>
          document.querySelector('.drawing.stale') === null &&
          (document.querySelector('[data-short=quiescent] .a')?.textContent ?? '') !== '',
        null,
        { timeout: 20_000 },
      );
      expect(await page.locator('.stage .g-part').count()).toBeGreaterThan(3);
    }
    expect(faults).toEqual([]);
    await page.context().close();
  }, 180_000);
});

describe('the projector view', () => {
  it('enlarges the type and shows one question at a time', async () => {
    const { page } = await follower();
    const size = async (): Promise<number> => (await page.locator('section#swing .key').boundingBox())?.height ?? Number.NaN;
    const before = await size();
    await page.getByRole('button', { name: 'project', exact: true }).click();
    const visible = (): Promise<string[]> =>
      page.evaluate(() =>
        [...document.querySelectorAll<HTMLElement>('section[data-question]')]
          .filter((section) => section.offsetParent !== null)
          .map((section) => section.id),
      );
    expect(await visible()).toEqual(['swing']);
    expect(await size()).toBeGreaterThan(before);
    await page.locator('[data-short=waveform] a').click();
    expect(await visible()).toEqual(['waveform']);
    await page.getByRole('button', { name: 'project', exact: true }).click();
    expect((await visible()).length).toBe(4);
    await page.context().close();
  });
});

describe('the history', () => {
  it('names every step and goes back to before any of them', async () => {
    const { page } = await follower();
    await page.getByRole('radio', { name: 'triangle' }).check({ force: true });
    await page.getByRole('radio', { name: /line/ }).check({ force: true });
    await page.getByRole('button', { name: 'history' }).click();
    expect(await page.locator('.history li').allInnerTexts()).toEqual([
      expect.stringContaining('waveform triangle'),
      expect.stringContaining('load line'),
    ]);
    await page.getByRole('button', { name: 'Go back to before waveform triangle' }).click();
    await page.waitForFunction(() => document.querySelector<HTMLInputElement>('input[name=waveform]')?.checked === true);
    expect(await page.getByRole('button', { name: /^redo/ }).innerText()).toBe('redo waveform triangle');
    await page.context().close();
  });
});

describe('light and dark', () => {
  it('follow the system until the word in the header says otherwise, and that is remembered', async () => {
    const { page } = await follower({ theme: 'dark' });
    const paper = (): Promise<string> => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    expect(await paper()).toBe('rgb(52, 56, 59)');
    await page.getByRole('button', { name: 'light', exact: true }).click();
    expect(await paper()).toBe('rgb(247, 247, 243)');
    await page.reload();
    await settled(page);
    expect(await paper()).toBe('rgb(247, 247, 243)');
    await page.context().close();
  });
});
