// Checks that every layer of src/ imports only from itself and from those before it.
//   node tools/layers.mjs [ROOT]      ROOT: the checkout to judge, this one by default
// Fails as well when fewer modules were seen than there are source files: nothing seen is nothing proved.
import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const home = resolve(fileURLToPath(import.meta.url), '../..');
const root = resolve(process.argv[2] ?? home);

const sources = readdirSync(join(root, 'src'), { recursive: true, withFileTypes: true }).filter(
  (entry) => entry.isFile() && /\.tsx?$/.test(entry.name) && !entry.name.endsWith('.d.ts'),
).length;

const run = spawnSync(
  process.execPath,
  [
    '--require',
    join(home, 'tools/swc-tsx.cjs'),
    join(home, 'node_modules/dependency-cruiser/bin/dependency-cruise.mjs'),
    'src',
    '--config',
    join(home, '.dependency-cruiser.cjs'),
    '--output-type',
    'json',
  ],
  { cwd: root, encoding: 'utf8', maxBuffer: 1 << 28 },
);
let report;
try {
  report = JSON.parse(run.stdout);
} catch {
  console.error(`The layer check did not run: ${run.stderr || run.error?.message || run.stdout}`);
  process.exit(1);
}

const seen = report.modules.filter((module) => /^src\/.*\.tsx?$/.test(module.source) && !module.source.endsWith('.d.ts')).length;
const { violations } = report.summary;
const reasons = new Map(report.summary.ruleSetUsed.forbidden.map((rule) => [rule.name, rule.comment]));
for (const { from, to, rule } of violations) console.error(`${from} -> ${to}: ${rule.name}: ${reasons.get(rule.name)}`);
if (seen < sources) console.error(`The layer check saw ${seen} modules, but src holds ${sources} source files.`);
if (violations.length > 0 || seen < sources) process.exit(1);
console.log(`${seen} modules keep to their layers.`);
