// Writes the library's reference, from its docstrings, to dist/apidoc: `npm run apidoc`.
// typedoc does not run on the compiler that the product uses, so it lives here with one that it knows.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = fileURLToPath(new URL('.', import.meta.url));
const root = resolve(here, '../..');

if (!existsSync(join(here, 'node_modules/typedoc'))) {
  const { status } = spawnSync('npm', ['ci'], { cwd: here, stdio: 'inherit', shell: process.platform === 'win32' });
  if (status !== 0) process.exit(1);
}
const { status } = spawnSync(
  process.execPath,
  [
    join(here, 'node_modules/typedoc/bin/typedoc'),
    '--tsconfig',
    join(root, 'tsconfig.engine.json'),
    '--out',
    join(root, 'dist/apidoc'),
    '--name',
    'Footroom engine',
    '--readme',
    'none',
    '--disableSources',
    '--hideGenerator',
    join(root, 'src/index.ts'),
  ],
  { cwd: root, stdio: 'inherit' },
);
process.exit(status ?? 1);
