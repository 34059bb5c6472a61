/**
 * The built page in a real Chromium: builds it where a source is newer, serves it with its policy, and opens it at a
 * width and in a theme. Whatever the page logs as an error, refuses by policy or asks of another host fails the test.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, rmdirSync, statSync } from 'node:fs';
import type { Server } from 'node:http';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Browser, chromium, type Page } from 'playwright-core';
import { serve } from '../../tools/serve.mjs';

const root = fileURLToPath(new URL('../..', import.meta.url));
const LOCK = join(root, 'dist/page.lock');
/** A lock older than this was left by a run that died, ms. */
const LOCK_DIES = 120_000;

function newest(folder: string): number {
  let latest = 0;
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) latest = Math.max(latest, newest(path));
    else if (!entry.name.includes('.test.')) latest = Math.max(latest, statSync(path).mtimeMs);
  }
  return latest;
}

function stale(): boolean {
  const built = join(root, 'dist/page/index.html');
  return !existsSync(built) || newest(join(root, 'src')) > statSync(built).mtimeMs;
}

/** Builds once however many test files ask at the same time. */
async function buildOnce(): Promise<void> {
  mkdirSync(join(root, 'dist'), { recursive: true });
  for (;;) {
    try {
      mkdirSync(LOCK);
      break;
    } catch {
      const held = statSync(LOCK, { throwIfNoEntry: false });
      if (held !== undefined && Date.now() - held.mtimeMs > LOCK_DIES) rmdirSync(LOCK);
      else await new Promise((resolve) => setTimeout(resolve, 250));
    }
  }
  try {
    if (stale()) {
      // In a process of its own: the tests' NODE_ENV would make another page than the one that ships.
      const { NODE_ENV: _tests, ...env } = process.env;
      const { status } = spawnSync(process.execPath, [join(root, 'tools/build.mjs'), 'page'], { stdio: 'inherit', env });
      if (status !== 0) throw new Error('The page could not be built.');
    }
  } finally {
    rmdirSync(LOCK);
  }
}

export interface Opened {
  page: Page;
  /** What went wrong on the page so far: errors, refusals by the policy, requests to elsewhere. */
  faults: string[];
}

export interface Bench {
  address: string;
  open(how?: {
    width?: number;
    height?: number;
    theme?: 'light' | 'dark';
    touch?: boolean;
    reducedMotion?: boolean;
    fragment?: string;
    keep?: boolean;
  }): Promise<Opened>;
  close(): Promise<void>;
}

/** Builds, serves and starts the browser; `close` when done. */
export async function startBench(): Promise<Bench> {
  await buildOnce();
  const { server, address } = (await serve(join(root, 'dist/page'), 0)) as { server: Server; address: string };
  const browser: Browser = await chromium.launch({
    executablePath: '/usr/bin/chromium',
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
  return {
    address,
    async open(how = {}) {
      const context = await browser.newContext({
        viewport: { width: how.width ?? 1440, height: how.height ?? 900 },
        colorScheme: how.theme ?? 'light',
        hasTouch: how.touch ?? false,
        reducedMotion: how.reducedMotion === true ? 'reduce' : 'no-preference',
        acceptDownloads: true,
        permissions: ['clipboard-read', 'clipboard-write'],
      });
      const page = await context.newPage();
      const faults: string[] = [];
      page.on('pageerror', (error) => faults.push(`error: ${error.message}`));
      page.on('console', (message) => {
        if (message.type() === 'error' || message.type() === 'warning') faults.push(`${message.type()}: ${message.text()}`);
      });
      page.on('request', (request) => {
        const url = request.url();
        if (!url.startsWith(address) && !url.startsWith('data:') && !url.startsWith('blob:')) faults.push(`request to ${url}`);
      });
      await page.goto(address + (how.fragment ?? ''));
      return { page, faults };
    },
    async close() {
      await browser.close();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}
