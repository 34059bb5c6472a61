// Pictures of the built page at three widths in both themes, for people to look at:
//   node tools/shots.mjs [FOLDER]      dist/shots by default; builds nothing, `node tools/build.mjs page` first
import { mkdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { serve } from './serve.mjs';

const at = (path) => fileURLToPath(new URL(`../${path}`, import.meta.url));
const folder = process.argv[2] ?? at('dist/shots');
mkdirSync(folder, { recursive: true });

const { server, address } = await serve(at('dist/page'), 0);
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: [
    '--headless',
    '--no-sandbox',
    '--disable-gpu',
    '--disable-quic',
    '--no-first-run',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-sync',
  ],
});

/** Waits until every question of the sheet is answered and the fonts are in. */
async function settled(page) {
  await page.waitForFunction(
    () =>
      document.querySelector('.headline')?.textContent?.length > 0 &&
      document.querySelector('.stage .mark') !== null &&
      document.querySelector('.stale, .waits') === null,
    null,
    { timeout: 30_000 },
  );
  await page.evaluate(() => document.fonts.ready);
  await page.waitForTimeout(300);
}

for (const theme of ['light', 'dark']) {
  for (const [width, height] of [
    [1440, 900],
    [1024, 900],
    [390, 844],
  ]) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme: theme, hasTouch: width < 900 });
    const page = await context.newPage();
    page.on('pageerror', (problem) => console.log(`${theme} ${width}: ${problem.message}`));
    page.on('console', (message) => message.type() === 'error' && console.log(`${theme} ${width}: ${message.text()}`));
    await page.goto(address);
    await settled(page);
    await page.screenshot({ path: `${folder}/page-${width}-${theme}.png` });
    await page.screenshot({ path: `${folder}/page-${width}-${theme}-full.png`, fullPage: true });
    const strip = page.locator('.strip');
    if ((await strip.count()) > 0) {
      await strip.focus();
      await page.keyboard.press('Home');
      for (let n = 0; n < 12; n += 1) await page.keyboard.press('PageDown');
      await page.keyboard.press('ArrowLeft');
      await page.waitForTimeout(150);
      await page.screenshot({ path: `${folder}/instant-${width}-${theme}.png` });
    }
    await context.close();
  }
}
await browser.close();
server.close();
console.log(folder);
