import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '../..');
let user: string;

const node = (args: string[], cwd: string) => spawnSync(process.execPath, args, { cwd, encoding: 'utf8' });

// Somebody else's project, with the package as npm would link it.
beforeAll(() => {
  const built = node(['tools/build.mjs', 'engine', 'types'], root);
  expect(built.stderr).toBe('');
  user = mkdtempSync(join(tmpdir(), 'footroom-library-'));
  mkdirSync(join(user, 'node_modules'));
  symlinkSync(root, join(user, 'node_modules/footroom'));
});
afterAll(() => rmSync(user, { recursive: true, force: true }));

describe('the library', () => {
  it("answers about a sheet from somebody else's project", () => {
    writeFileSync(
      join(user, 'ask.mjs'),
      `import { answer, readSheet } from 'footroom';
       const { sheet } = readSheet('footroom: 1\\nsupplies: { vcc: 10 V }\\nparts:\\n  R1: { resistor: 3k, from: vcc, to: tap }\\n  R2: { resistor: 2k, from: tap, to: gnd }\\n');
       console.log(answer('quiescent', sheet).nodes.tap);`,
    );
    const run = node(['ask.mjs'], user);
    expect(run.stderr).toBe('');
    // A divider: 10 V 2k/(3k + 2k).
    expect(Number(run.stdout)).toBeCloseTo(4, 9);
  });

  it('asks nothing of a host: neither Node nor a document', () => {
    const text = readFileSync(join(root, 'dist/engine.mjs'), 'utf8');
    expect(text).not.toMatch(/from\s*["'](node:|fs|path)/);
    expect(text).not.toMatch(/\bdocument\.(createElement|querySelector|getElementById)/);
  });

  it.each(['nodenext', 'bundler'])('has declarations that a compiler takes with module resolution %s', (resolution) => {
    writeFileSync(
      join(user, 'typed.ts'),
      `import { answer, readSheet, type Answer, type NoAnswer, type Sheet } from 'footroom';
       const sheet: Sheet | null = readSheet('').sheet;
       export const found: Answer | NoAnswer | null = sheet === null ? null : answer('swing', sheet);
       // @ts-expect-error there is no such question
       if (sheet !== null) answer('swung', sheet);\n`,
    );
    const module = resolution === 'bundler' ? 'esnext' : 'nodenext';
    const options = ['--noEmit', '--strict', '--module', module, '--moduleResolution', resolution, '--target', 'es2022'];
    const run = node([join(root, 'node_modules/typescript/bin/tsc'), ...options, 'typed.ts'], user);
    expect(run.stdout).toBe('');
    expect(run.status).toBe(0);
  });
});
