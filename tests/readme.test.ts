/** What the documents tell the reader to type is typed, and what they print is what comes. */
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { readSheet } from '../src/sheet/index.ts';
import { commandsOf, runCommand } from '../tools/readme.mjs';

const root = resolve(import.meta.dirname, '..');
const readme = readFileSync(join(root, 'README.md'), 'utf8');
const documents = ['README.md', ...readdirSync(join(root, 'docs')).map((name) => `docs/${name}`)].filter((name) => name.endsWith('.md'));

beforeAll(() => {
  execFileSync(process.execPath, [join(root, 'tools/build.mjs'), 'command', 'engine'], { cwd: root });
});

describe('README.md', () => {
  const commands = commandsOf(readme);

  it('has commands to try, some with their output', () => {
    expect(commands.length).toBeGreaterThan(10);
    expect(commands.filter(({ printed }) => printed !== null).length).toBeGreaterThan(1);
  });

  it.each(commands)('tells a command that works: $line', ({ words, printed }) => {
    const { status, out, err } = runCommand(words);
    expect(err).not.toMatch(/: warning: --/);
    expect(status).toBe(0);
    // `npm run readme` writes the output in again where it has changed for good reason.
    if (printed !== null) expect(out).toBe(printed);
  });

  it('shows a sheet that is sound', () => {
    const [, sheet] = /^```yaml\n([\s\S]*?)^```$/m.exec(readme) ?? [];
    expect(readSheet(sheet ?? '').problems).toEqual([]);
  });
});

describe('the documents', () => {
  it.each(documents)('point only at files that are there: %s', (name) => {
    const text = readFileSync(join(root, name), 'utf8');
    const links = [...text.matchAll(/\]\((?!https?:|#)([^)#\s]+)/g)].map(([, target]) => target);
    expect(links.filter((target) => !existsSync(join(root, dirname(name), target)))).toEqual([]);
  });

  it('name every dependency of package.json in decisions.md, and no script that there is not', () => {
    const { dependencies, devDependencies, scripts } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
    const decisions = readFileSync(join(root, 'docs/decisions.md'), 'utf8');
    expect(Object.keys({ ...dependencies, ...devDependencies }).filter((name) => !decisions.includes(`\`${name}\``))).toEqual([]);
    const told = documents.flatMap((name) => [...readFileSync(join(root, name), 'utf8').matchAll(/npm run ([a-z]+)/g)].map(([, s]) => s));
    expect(told.filter((script) => !(script in scripts))).toEqual([]);
  });

  it('show a program of the library that runs', () => {
    const [, program] = /^```js\n([\s\S]*?)^```$/m.exec(readFileSync(join(root, 'docs/library.md'), 'utf8')) ?? [];
    const [, printed] = /^```text\n([\s\S]*?)^```$/m.exec(readFileSync(join(root, 'docs/library.md'), 'utf8')) ?? [];
    const folder = mkdtempSync(join(tmpdir(), 'footroom-example-'));
    try {
      mkdirSync(join(folder, 'node_modules'));
      symlinkSync(root, join(folder, 'node_modules/footroom'));
      symlinkSync(join(root, 'examples'), join(folder, 'examples'));
      writeFileSync(join(folder, 'example.mjs'), program ?? '');
      const { status, stdout, stderr } = spawnSync(process.execPath, ['example.mjs'], { cwd: folder, encoding: 'utf8' });
      expect(stderr).toBe('');
      expect(status).toBe(0);
      expect(stdout).toBe(printed);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
