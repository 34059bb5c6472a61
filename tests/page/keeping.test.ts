/** What happens to the reader's work when the browser's storage is full, and when two tabs are open at once. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Bench, startBench } from './browser.ts';
import { FOLLOWER, fragment } from './sheets.ts';

let bench: Bench;
beforeAll(async () => {
  bench = await startBench();
});
afterAll(async () => {
  await bench.close();
});

async function drawn(page: Page): Promise<void> {
  await page.waitForFunction(() => (document.querySelector('.headline')?.textContent ?? '').length > 0, null, { timeout: 20_000 });
}
async function setFrequency(page: Page, typed: string): Promise<void> {
  await page.getByRole('slider', { name: 'frequency', exact: true }).focus();
  await page.keyboard.type(typed);
  await page.keyboard.press('Enter');
}
const frequency = (page: Page): Promise<string | null> =>
  page.getByRole('slider', { name: 'frequency', exact: true }).getAttribute('aria-valuenow');
const shows = (page: Page, hertz: string): Promise<unknown> =>
  page.waitForFunction(
    (value) => document.querySelector('[role=slider][aria-label=frequency]')?.getAttribute('aria-valuenow') === value,
    hertz,
  );
/** Titles of the sheets that the browser keeps, with whether their text holds a word. */
const keptWith = (page: Page, word: string): Promise<boolean> =>
  page.evaluate(
    (given) =>
      new Promise<boolean>((resolve, reject) => {
        const opening = indexedDB.open('footroom');
        opening.onerror = () => reject(opening.error);
        opening.onsuccess = () => {
          const all = opening.result.transaction('sheets').objectStore('sheets').getAll();
          all.onerror = () => reject(all.error);
          all.onsuccess = () => {
            opening.result.close();
            resolve(all.result.some((sheet: { text: string }) => sheet.text.includes(given)));
          };
        };
      }),
    word,
  );
const waitKept = async (page: Page, word: string): Promise<void> => {
  for (let attempt = 0; attempt < 50; attempt += 1) {
    if (await keptWith(page, word)) return;
    await page.waitForTimeout(100);
  }
  throw new Error(`nothing with ${word} is kept`);
};
/** From here on so many writes to the store find it full. */
const fillUp = (page: Page, writes: number): Promise<void> =>
  page.evaluate((count) => {
    let left = count;
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...given: Parameters<typeof put>) {
      if (left > 0) {
        left -= 1;
        throw new DOMException('full', 'QuotaExceededError');
      }
      return put.apply(this, given);
    };
  }, writes);

describe('a full storage', () => {
  it('is said in a sentence with the way out, loses nothing on the page, and is tried again with the next change', async () => {
    const { page, faults } = await bench.open({ fragment: fragment(FOLLOWER) });
    await drawn(page);
    await fillUp(page, 1);
    await setFrequency(page, '2k');
    await page.locator('.notice').waitFor();
    expect(await page.locator('.notice').textContent()).toMatch(/no room left.*Save the sheet to a file/);
    await shows(page, '2000');
    await setFrequency(page, '3k');
    await waitKept(page, 'frequency: 3 kHz');
    await page.reload();
    await drawn(page);
    await shows(page, '3000');
    expect(faults).toEqual([]);
    await page.context().close();
  });

  it('lets the oldest other sheet go to make room for the one at hand', async () => {
    const { page } = await bench.open({ fragment: fragment(FOLLOWER.replace('headphone follower', 'an older sheet')) });
    await drawn(page);
    await setFrequency(page, '1k');
    await waitKept(page, 'an older sheet');
    await page.goto('about:blank');
    await page.goto(bench.address + fragment(FOLLOWER));
    await drawn(page);
    await fillUp(page, 1);
    await setFrequency(page, '2k');
    await waitKept(page, 'frequency: 2 kHz');
    expect(await keptWith(page, 'an older sheet')).toBe(false);
    expect(await page.locator('.notice').count()).toBe(0);
    await page.context().close();
  });
});

describe('two tabs', () => {
  it('keep a sheet each: neither writes over the other, and each finds its own after a reload', async () => {
    const { page: first } = await bench.open({ fragment: fragment(FOLLOWER) });
    await drawn(first);
    await setFrequency(first, '2k');
    await waitKept(first, 'frequency: 2 kHz');
    const second = await first.context().newPage();
    await second.goto(bench.address + fragment(FOLLOWER));
    await drawn(second);
    await setFrequency(second, '5k');
    await waitKept(second, 'frequency: 5 kHz');
    for (const page of [first, second]) await page.reload();
    await drawn(first);
    await drawn(second);
    await shows(first, '2000');
    await shows(second, '5000');
    expect([await frequency(first), await frequency(second)]).toEqual(['2000', '5000']);
    await first.context().close();
  });

  it('go on with a copy where a tab is duplicated', async () => {
    const { page: first } = await bench.open({ fragment: fragment(FOLLOWER) });
    await drawn(first);
    await setFrequency(first, '2k');
    await waitKept(first, 'frequency: 2 kHz');
    const twin = await first.context().newPage();
    // What a browser's "duplicate tab" does: the session storage goes along.
    const session = await first.evaluate(() => JSON.stringify({ ...sessionStorage }));
    await twin.addInitScript((given) => {
      if (sessionStorage.length === 0)
        for (const [key, value] of Object.entries(JSON.parse(given))) sessionStorage.setItem(key, String(value));
    }, session);
    await twin.goto(bench.address);
    await drawn(twin);
    await shows(twin, '2000');
    await setFrequency(twin, '7k');
    await waitKept(twin, 'frequency: 7 kHz');
    await first.reload();
    await drawn(first);
    await shows(first, '2000');
    expect(await frequency(twin)).toBe('7000');
    await first.context().close();
  });
});
