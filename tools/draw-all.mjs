// Draws every sheet of the folders named on the command line and prints what each drawing scores.
//   npx tsx tools/draw-all.mjs [--width 600] [--out folder] [--generated 1000] folder-or-sheet...
import { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { parseArgs } from 'node:util';
import { ask } from '../src/answers/ask.ts';
import { drawSvg, layOut, scoreOf } from '../src/drawing/index.ts';
import { restLayout, restValues } from '../src/drawing/rest.ts';
import { readSheet } from '../src/sheet/index.ts';

const { values: flags, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    width: { type: 'string', default: '600' },
    out: { type: 'string' },
    generated: { type: 'string', default: '0' },
    faults: { type: 'boolean', default: false },
  },
});
const width = Number(flags.width);
if (flags.out) mkdirSync(flags.out, { recursive: true });

/** Resting values of a sheet; none where it has no resting point. */
function restOf(sheet) {
  const answer = ask('quiescent', sheet);
  return 'otherSolutions' in answer ? restValues(answer, sheet) : {};
}

const sheets = [];
for (const place of positionals) {
  const files = statSync(place).isDirectory()
    ? readdirSync(place)
        .filter((f) => f.endsWith('.sheet.yaml'))
        .sort()
        .map((f) => join(place, f))
    : [place];
  for (const file of files) {
    const { sheet, problems } = readSheet(readFileSync(file, 'utf8'));
    if (sheet) sheets.push({ name: basename(file, '.sheet.yaml'), sheet });
    else console.error(`${file}: ${problems.map((p) => p.sentence).join(' ')}`);
  }
}
const count = Number(flags.generated);
if (count > 0) {
  const { generatedStages } = await import('./generated-stages.mjs');
  for (const found of generatedStages(count)) sheets.push(found);
}

const columns = [
  'total',
  'faults',
  'cross',
  'rail',
  'bends',
  'length',
  'rev',
  'upend',
  'asym',
  'rank',
  'two',
  'point',
  'wide',
  'high',
  'ms',
];
if (count === 0) console.log('sheet'.padEnd(30), columns.map((c) => c.padStart(6)).join(''));
let faulty = 0;
let sum = 0;
for (const { name, sheet } of sheets) {
  const rest = count > 0 ? {} : restOf(sheet);
  const began = performance.now();
  const plan = layOut(sheet, { width, ...(rest.volts ? restLayout(rest) : {}) });
  const took = performance.now() - began;
  const s = scoreOf(plan);
  sum += s.total;
  if (s.faults.length > 0) faulty++;
  const cells = [
    s.total.toFixed(0),
    s.faults.length,
    s.crossings,
    s.railCrossings,
    s.bends,
    s.length.toFixed(0),
    s.reversedSignals + s.reversedFeedback,
    s.upended,
    s.asymmetry.toFixed(0),
    s.offRank,
    s.twoLineNodes,
    s.onPointing,
    s.widthExcess.toFixed(0),
    s.heightExcess.toFixed(0),
    took.toFixed(0),
  ];
  if (count === 0 || s.faults.length > 0) console.log(name.padEnd(30), cells.map((c) => String(c).padStart(6)).join(''));
  if (flags.faults) for (const f of s.faults.slice(0, 8)) console.log(`    ${f}`);
  if (flags.out)
    writeFileSync(
      join(flags.out, `${name}.svg`),
      drawSvg(plan, rest, { title: sheet.title, description: '', habit: 'rectangle', theme: 'paper' }),
    );
}
console.log(`${sheets.length} drawings, ${faulty} with faults, mean score ${(sum / Math.max(1, sheets.length)).toFixed(1)}`);
