import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '../..');
let copy: string;

// A small tree that keeps to the rules; each test plants one thing in it.
beforeEach(() => {
  copy = mkdtempSync(join(tmpdir(), 'footroom-layers-'));
  cpSync(join(root, 'tsconfig.json'), join(copy, 'tsconfig.json'));
  plant('package.json', '{ "type": "module" }');
  plant('src/devices/kinds.ts', "export type Kind = 'npn' | 'pnp';\n");
  plant('src/sheet/types.ts', "import type { Kind } from '../devices/kinds.ts';\nexport interface Sheet {\n  kind: Kind;\n}\n");
});
afterEach(() => rmSync(copy, { recursive: true, force: true }));

const check = (tool: string) => spawnSync(process.execPath, [join(root, 'tools', tool), copy], { encoding: 'utf8' });
function plant(path: string, text: string): void {
  mkdirSync(dirname(join(copy, path)), { recursive: true });
  writeFileSync(join(copy, path), text);
}

describe('the layer check', () => {
  it('passes a tree that keeps to its layers', () => {
    const run = check('layers.mjs');
    expect(run.stderr).toBe('');
    expect(run.stdout).toContain('2 modules keep to their layers');
    expect(run.status).toBe(0);
  });

  it('refuses an import from a later layer, even of a type', () => {
    plant('src/devices/planted.ts', "import type { Sheet } from '../sheet/types.ts';\nexport type Planted = Sheet;\n");
    const run = check('layers.mjs');
    expect(run.stderr).toContain('src/devices/planted.ts -> src/sheet/types.ts: devices-looks-only-down');
    expect(run.status).toBe(1);
  });

  it('reads tags in .tsx files', () => {
    plant('src/page/planted.tsx', 'import { run } from \'../cli/run.ts\';\nexport const planted = <p class="cap">{run}</p>;\n');
    plant('src/cli/run.ts', "export const run = 'run';\n");
    const run = check('layers.mjs');
    expect(run.stderr).toContain('src/page/planted.tsx -> src/cli/run.ts: page-knows-no-command-line');
    expect(run.status).toBe(1);
  });

  it("refuses one of Node's own modules in the engine", () => {
    plant('src/quantity/planted.ts', "import { readFileSync } from 'node:fs';\nexport const planted = readFileSync;\n");
    const run = check('layers.mjs');
    expect(run.stderr).toContain('src/quantity/planted.ts -> fs: engine-knows-no-host');
    expect(run.status).toBe(1);
  });

  it('fails when it saw fewer modules than there are source files', () => {
    // What lies in a folder of dependencies is not cruised.
    plant('src/node_modules/kinds.ts', 'export const unseen = true;\n');
    const run = check('layers.mjs');
    expect(run.stderr).toMatch(/saw \d+ modules, but src holds \d+ source files/);
    expect(run.status).toBe(1);
  });
});

describe('the sameness check', () => {
  it.each([
    ['Math.exp(1)', 'Math.exp'],
    ['2 ** 0.5', '**'],
    ['Date.now()', 'a clock'],
    ['Math.random()', 'Math.random'],
    ["'a'.localeCompare('b')", 'locale'],
  ])('refuses %s in the engine, with its line', (expression, word) => {
    plant('src/quantity/planted.ts', `// µ: two bytes in one character\nexport const planted = ${expression};\n`);
    const run = check('sameness.mjs');
    expect(run.stderr).toMatch(/src\/quantity\/planted\.ts:2: /);
    expect(run.stderr).toContain(word);
    expect(run.status).toBe(1);
  });

  it('allows what ECMA-262 defines exactly', () => {
    plant('src/quantity/planted.ts', 'export const planted = Math.sqrt(2) + Math.PI;\nexport interface Date {}\n');
    const run = check('sameness.mjs');
    expect(run.stderr).toBe('');
    expect(run.status).toBe(0);
  });
});
