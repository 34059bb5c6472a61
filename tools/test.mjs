// Everything that must hold, from a fresh clone: `npm test`. Installs what it needs, runs every check even after one has
// failed, and ends with a line for each.
import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { needNode, needOutside, needPackages, root, run } from './prepare.mjs';

const strict = process.env.CI === 'true';

needNode();
needPackages();
const missing = needOutside();

const bin = (path) => join(root, 'node_modules', path);
const tsc = bin('typescript/bin/tsc');
const results = join(root, '.cache/vitest.json');
rmSync(results, { force: true });

const checks = [
  ['types', [tsc, '-p', '.']],
  ['types of the engine, without document or Node', ['tools/build.mjs', 'types']],
  ['format and lint', [bin('@biomejs/biome/bin/biome'), 'check', '--error-on-warnings']],
  ['layers', ['tools/layers.mjs']],
  ['sameness on every host', ['tools/sameness.mjs']],
  ['dead code', [bin('knip/bin/knip.js'), '--no-progress']],
  ['build', ['tools/build.mjs', 'command', 'engine']],
  ['tests', [bin('vitest/vitest.mjs'), 'run', '--reporter=default', '--reporter=json', `--outputFile.json=${results}`]],
];

const failed = [];
for (const [name, args] of checks) {
  const begun = process.hrtime.bigint();
  console.log(`\n── ${name}`);
  const passed = run(process.execPath, args);
  const seconds = Number((process.hrtime.bigint() - begun) / 1_000_000n) / 1000;
  console.log(`${passed ? 'passed' : 'FAILED'}: ${name}, ${seconds.toFixed(1)} s`);
  if (!passed) failed.push(name);
}

let totals = { numPassedTests: 0, numFailedTests: 0, numPendingTests: 0, numTodoTests: 0 };
try {
  totals = JSON.parse(readFileSync(results, 'utf8'));
} catch (problem) {
  console.log(`The tests left no results: ${problem.message}`);
  if (!failed.includes('tests')) failed.push('tests');
}
const notRun = totals.numPendingTests + totals.numTodoTests;

console.log('');
for (const { name, command } of missing) console.log(`Not here: ${name}. The tests that need it did not run; to install it: ${command}`);
if (strict && missing.length + notRun > 0) failed.push(`${notRun} tests not run`);
if (failed.length > 0) console.log(`Failed: ${failed.join(', ')}`);
// Checks count as one each, beside the single tests.
const checksFailed = failed.filter((name) => name !== 'tests').length;
console.log(
  `${totals.numPassedTests + checks.length - 1 - checksFailed} passed, ${totals.numFailedTests + checksFailed} failed${notRun > 0 ? `, ${notRun} not run` : ''}`,
);
process.exit(failed.length > 0 ? 1 : 0);
