import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '../..');
let copy: string;

beforeEach(() => {
  copy = mkdtempSync(join(tmpdir(), 'footroom-layers-'));
  for (const name of ['src', 'tsconfig.json', 'package.json']) cpSync(join(root, name), join(copy, name), { recursive: true });
});
afterEach(() => rmSync(copy, { recursive: true, force: true }));

const check = (tool: string) => spawnSync(process.execPath, [join(root, 'tools', tool), copy], { encoding: 'utf8' });
function plant(path: string, text: string): void {
  mkdirSync(dirname(join(copy, path)), { recursive: true });
  writeFileSync(join(copy, path), text);
}

describe('the layer check', () => {
  it('refuses an import from a later layer, even of a type', () => {
    plant('src/devices/planted.ts', "import type { Sheet } from '../sheet/types.ts';\nexport type Planted = Sheet;\n");
    const run = check('layers.mjs');
    expect(run.stderr).toContain('src/devices/planted.ts -> src/sheet/types.ts: devices-looks-only-down');
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
    rmSync(join(copy, 'src'), { recursive: true });
    cpSync(join(root, 'src/devices'), join(copy, 'src/devices'), { recursive: true });
    cpSync(join(root, 'src/devices'), join(copy, 'src/node_modules/devices'), { recursive: true });
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
    rmSync(join(copy, 'src'), { recursive: true });
    const { layers, host } = JSON.parse(readFileSync(join(root, 'tools/layers.json'), 'utf8')) as { layers: string[]; host: string };
    for (const layer of layers.slice(0, layers.indexOf(host)))
      cpSync(join(root, 'src/devices/parameters.ts'), join(copy, `src/${layer}/a.ts`));
    plant('src/quantity/planted.ts', 'export const planted = Math.sqrt(2) + Math.PI;\nexport interface Date {}\n');
    const run = check('sameness.mjs');
    expect(run.stderr).toBe('');
    expect(run.status).toBe(0);
  });
});
