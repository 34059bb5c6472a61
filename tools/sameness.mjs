// Checks that the engine (the layers below the command line) gives the same bytes for the same sheet on every host:
//   node tools/sameness.mjs [ROOT]
// ECMAScript leaves the last digits of Math.exp and its kin, and of `**`, to the implementation; clocks, chance and
// locales differ by nature. Their places are taken by src/numerics/elementary.ts, by seeds, and by our own formatting.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseSync } from '@swc/core';

const home = resolve(fileURLToPath(import.meta.url), '../..');
const root = resolve(process.argv[2] ?? home);
const { layers, host } = JSON.parse(readFileSync(join(home, 'tools/layers.json'), 'utf8'));

// Members of Math that ECMA-262 defines exactly, and its constants.
const exactMath = new Set(
  'abs ceil clz32 floor fround imul max min round sign sqrt trunc E LN10 LN2 LOG10E LOG2E PI SQRT1_2 SQRT2'.split(' '),
);
const hostNames = new Map([
  ['Date', 'a clock'],
  ['performance', 'a clock'],
  ['crypto', 'chance'],
  ['Intl', "the host's locale"],
  ['console', 'output that belongs to the command line'],
  ['eval', 'evaluation of text'],
  ['Function', 'evaluation of text'],
]);
const localeMembers = new Set(['toLocaleString', 'toLocaleUpperCase', 'toLocaleLowerCase', 'localeCompare', 'toLocaleDateString']);

/** True of `2n ** x` and of `2 ** 52`, `2 ** -52`. */
function isExactPower({ left, right }) {
  const exponent = right.type === 'UnaryExpression' ? right.argument : right;
  return (
    left.type === 'BigIntLiteral' ||
    (left.type === 'NumericLiteral' && left.value === 2 && exponent.type === 'NumericLiteral' && Number.isInteger(exponent.value))
  );
}

/** Every place in `tree` where the text leans on the host: `{ at, what }`, `at` being swc's byte position. */
function leanings(tree) {
  const found = [];
  const add = (node, what) => found.push({ at: node.span.start, what });
  const visit = (node) => {
    if (Array.isArray(node)) return node.forEach(visit);
    if (node === null || typeof node !== 'object') return;
    if (node.type?.startsWith('Ts') && !/^Ts(As|NonNull|Satisfies|Const)/.test(node.type)) return;
    if (node.type === 'MemberExpression') {
      const name = node.property.type === 'Identifier' ? node.property.value : null;
      if (node.object.type === 'Identifier' && node.object.value === 'Math') {
        if (name === null || !exactMath.has(name)) add(node, `Math.${name ?? '[...]'}`);
      } else visit(node.object);
      if (name !== null && localeMembers.has(name)) add(node, `${name}: the host's locale`);
      if (name === null) visit(node.property);
      return;
    }
    if (node.type === 'Identifier') {
      if (node.value === 'Math') add(node, 'Math passed on as a whole');
      else if (hostNames.has(node.value)) add(node, `${node.value}: ${hostNames.get(node.value)}`);
      return;
    }
    // BigInt is exact, and so is a power of two that a literal names, on every engine known.
    if (node.type === 'BinaryExpression' && node.operator === '**' && isExactPower(node)) return;
    if ((node.type === 'BinaryExpression' && node.operator === '**') || (node.type === 'AssignmentExpression' && node.operator === '**=')) {
      add(node, `${node.operator}: use pow or products`);
    }
    if (node.type === 'KeyValueProperty') return visit([node.key.type === 'Computed' ? node.key : null, node.value]);
    for (const [key, value] of Object.entries(node)) if (key !== 'span') visit(value);
  };
  visit(tree.body);
  return found;
}

let files = 0;
let faults = 0;
for (const layer of layers.slice(0, layers.indexOf(host))) {
  const folder = join(root, 'src', layer);
  if (!existsSync(folder)) continue;
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile() || !/\.tsx?$/.test(entry.name) || /\.test\.tsx?$/.test(entry.name)) continue;
    const path = join(entry.parentPath ?? entry.path, entry.name);
    // What only tests use gives no results.
    if (/[\\/]testing([\\/]|\.ts$)/.test(path)) continue;
    const text = readFileSync(path, 'utf8');
    // swc counts positions on through all files that one process parses; an empty file tells where it stands.
    const start = parseSync('', { syntax: 'typescript' }).span.end;
    const tree = parseSync(text, { syntax: 'typescript', tsx: entry.name.endsWith('x') });
    files++;
    for (const { at, what } of leanings(tree)) {
      const before = Buffer.from(text)
        .subarray(0, Math.max(0, at - start))
        .toString();
      console.error(`${path.slice(root.length + 1)}:${before.split('\n').length}: ${what}`);
      faults++;
    }
  }
}
if (files === 0) console.error('The sameness check saw no file.');
if (faults > 0 || files === 0) process.exit(1);
console.log(`${files} files of the engine lean on nothing that differs between hosts.`);
