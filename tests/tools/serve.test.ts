import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const tool = resolve(import.meta.dirname, '../../tools/serve.mjs');
let folder: string;
let server: ChildProcess;
let address: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'footroom-serve-'));
  mkdirSync(join(folder, 'page'));
  writeFileSync(join(folder, 'page/index.html'), '<!doctype html><title>Tide pool</title>');
  writeFileSync(join(folder, 'outside.txt'), 'not for anybody');
  symlinkSync(join(folder, 'outside.txt'), join(folder, 'page/way-out.txt'));
  server = spawn(process.execPath, [tool, join(folder, 'page'), '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
  address = await new Promise((found) => createInterface({ input: server.stdout as NodeJS.ReadableStream }).once('line', found));
});
afterAll(() => {
  server.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** Asks for `path` exactly as written, which `fetch` would tidy up first. */
function get(path: string, headers: Record<string, string> = {}): Promise<{ status: number; body: string; policy: string }> {
  const { port } = new URL(address);
  return new Promise((done, failed) => {
    request({ host: '127.0.0.1', port, path, headers }, (response) => {
      let body = '';
      response.setEncoding('utf8').on('data', (piece: string) => {
        body += piece;
      });
      response.on('end', () =>
        done({ status: response.statusCode ?? 0, body, policy: String(response.headers['content-security-policy'] ?? '') }),
      );
    })
      .on('error', failed)
      .end();
  });
}

describe("the page's server", () => {
  it('serves the folder, with a policy that lets the page load nothing from elsewhere', async () => {
    const { status, body, policy } = await get('/');
    expect(status).toBe(200);
    expect(body).toContain('Tide pool');
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toContain('unsafe-inline');
  });

  it.each(['/../outside.txt', '/%2e%2e/outside.txt', '/..%2foutside.txt', '/..%5coutside.txt', '/way-out.txt', '/%00', '/%E0%A4%A'])(
    'refuses %s, which leads outside or nowhere',
    async (path) => {
      const { status, body } = await get(path);
      expect(status).toBe(404);
      expect(body).not.toContain('anybody');
    },
  );

  it('answers under this machine’s own name only, so that a foreign name pointed here reads nothing', async () => {
    const { status } = await get('/', { Host: 'tide.example' });
    expect(status).toBe(421);
  });

  it('listens on the loopback address', async () => {
    const { hostname, port } = new URL(address);
    expect(hostname).toBe('127.0.0.1');
    // 127.0.0.2 is this machine as well: a server on all addresses would answer there.
    const refused = await new Promise<boolean>((done) => {
      const socket = connect({ host: '127.0.0.2', port: Number(port) }, () => {
        socket.destroy();
        done(false);
      }).on('error', () => done(true));
    });
    expect(refused).toBe(true);
  });
});
