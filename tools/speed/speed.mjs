// How fast, told as ratios: `npm run speed`. The settled waveform of the examples against SUNDIALS IDA in C++ on the same
// equations (tests/outside/ida/settle.cpp), both at the same error, measured for both against a much tighter run; and
// 10,000 rest states against a plain dense Newton in the same program. Medians of interleaved runs, in about three minutes.
// Absolute times mean little on a shared machine; the ratios are what is told.
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { cpus, loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('../../', import.meta.url));
const RUNS = 11;
/** Seconds that one example may take before it is left out; a child process holds each, so that none can hold up the rest. */
const EACH = 30;
const SAMPLES = 512;
const RESTS = 10_000;
/** Where the engine's error is smaller, IDA need only come down to this, V: below it, nobody could tell. */
const NO_CLOSER = 1e-6;
/** Seconds for everything; what would not fit is named at the end. */
const BUDGET = 180;
/** A stage whose slowest multiplier asks IDA for more periods than this is left out: nobody would wait for it. */
const MOST_PERIODS = 8000;

const begun = process.hrtime.bigint();
const elapsed = () => Number(process.hrtime.bigint() - begun) / 1e9;
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
const digits = (value, n = 2) => (Number.isFinite(value) ? Number(value.toPrecision(n)).toString() : 'none');

const [, , one, ...places] = process.argv;
if (one === undefined) await compare();
else await settledWaveform(one, ...places);

async function compare() {
  const folder = mkdtempSync(join(tmpdir(), 'speed-'));
  try {
    const program = compileOutside(folder);
    if (program === null) {
      console.log('SUNDIALS or g++ is not here: nothing to compare with. To install: apt-get install g++ libsundials-dev');
      process.exitCode = process.env.CI === 'true' ? 1 : 0;
      return;
    }
    const bundle = join(folder, 'engine.mjs');
    await build({
      entryPoints: [join(root, 'tools/speed/engine.ts')],
      outfile: bundle,
      bundle: true,
      platform: 'node',
      format: 'esm',
      logLevel: 'error',
      // A package inside still asks for Node's own modules by `require`.
      banner: { js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);" },
    });
    console.log(
      `${cpus()[0]?.model ?? 'unknown processor'}, ${cpus().length} cores, Node ${process.version}; load ${load()} at the start\n`,
    );
    await restStates(bundle, program);
    console.log('\nSettled waveform, from the sheet, all junctions at ambient: how many times longer IDA takes for the same error,');
    console.log('beside the settled period alone / beside the whole answer with samples, causes and spectrum:\n');
    allExamples(bundle, program);
    console.log(`\nLoad ${load()} at the end; ${elapsed().toFixed(0)} s in all.`);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function allExamples(bundle, program) {
  const leftOut = [];
  const names = readdirSync(join(root, 'examples')).filter((name) => name.endsWith('.sheet.yaml'));
  names.forEach((file, k) => {
    const name = file.slice(0, -'.sheet.yaml'.length);
    const share = (BUDGET - elapsed()) / (names.length - k);
    if (share < 2) {
      leftOut.push(`${name} (the time was up)`);
      return;
    }
    const words = [fileURLToPath(import.meta.url), name, bundle, program, String(share)];
    const run = spawnSync(process.execPath, words, { encoding: 'utf8', timeout: 1000 * EACH });
    if (run.status === 0) process.stdout.write(run.stdout);
    else leftOut.push(`${name} (${run.signal === null ? run.stderr.trim().split('\n')[0] : `not done within ${EACH} s`})`);
  });
  if (leftOut.length > 0) console.log(`\nLeft out: ${leftOut.join('; ')}`);
}

function load() {
  return loadavg()
    .map((value) => value.toFixed(1))
    .join(', ');
}

/** Compiles the outside program; null when compiler or library is missing. */
function compileOutside(folder) {
  const here = spawnSync('g++', ['-fsyntax-only', '-x', 'c++', '-'], { input: '#include <ida/ida.h>\n' }).status === 0;
  if (!here) return null;
  const program = join(folder, 'settle');
  const libraries = ['-lsundials_ida', '-lsundials_nvecserial', '-lsundials_sunlinsoldense', '-lsundials_sunmatrixdense', '-lm'];
  execFileSync('g++', ['-O2', '-std=c++17', '-o', program, join(root, 'tests/outside/ida/settle.cpp'), ...libraries]);
  return program;
}

/** Runs the outside program; its own clock, its samples, and how far it was from settled. Null when it gives up. */
function runOutside(program, lines, words) {
  const run = spawnSync(program, words.map(String), { input: lines, maxBuffer: 1 << 28, encoding: 'utf8' });
  if (run.status !== 0) return null;
  const samples = [];
  const found = { samples, seconds: Number.NaN, miss: Number.NaN, failures: 0 };
  for (const line of run.stdout.split('\n')) {
    const [word, ...values] = line.split(' ');
    if (word === 'sample') samples.push(values.map(Number));
    else if (word in found) found[word] = Number(values[0]);
  }
  return found;
}

function timed(work) {
  const start = process.hrtime.bigint();
  work();
  return Number(process.hrtime.bigint() - start) / 1e9;
}

async function restStates(bundle, program) {
  const engine = await import(pathToFileURL(bundle).href);
  const name = 'pair-multiplier';
  const { sheet } = engine.readSheet(readFileSync(join(root, 'examples', `${name}.sheet.yaml`), 'utf8'));
  const lines = engine.asLines(engine.flatten(sheet));
  const ours = [];
  const theirs = [];
  let failures = 0;
  for (let k = 0; k < RUNS; k++) {
    ours.push(timed(() => (failures = engine.manyRests(sheet, RESTS))));
    const outside = runOutside(program, lines, ['rests', RESTS]);
    theirs.push(outside.seconds);
    if (outside.failures > 0) throw new Error(`${outside.failures} rest states were not found outside`);
  }
  const engineSeconds = median(ours);
  console.log(
    `${RESTS} rest states of ${name}, random resistors and betas, each from the nominal solution: ${digits(engineSeconds * 1000)} ms ` +
      `(cold ${digits(ours[0] * 1000)} ms), ${failures} not found; a dense Newton in C++ takes ${digits(median(theirs) / engineSeconds)} times as long ` +
      `(medians of ${RUNS}).`,
  );
}

/** Largest distance between two sets of samples over the nodes of the sheet, V. */
function distance(a, b, nodes) {
  let worst = 0;
  for (let k = 0; k < SAMPLES; k++) for (const i of nodes) worst = Math.max(worst, Math.abs(a[k][i] - b[k][i]));
  return worst;
}

/** In a child process: prints one example's line; ends with status 1 and a sentence where there is none. */
async function settledWaveform(name, bundle, program, seconds) {
  const engine = await import(pathToFileURL(bundle).href);
  try {
    console.log(exampleLine(engine, program, name, Number(seconds)));
  } catch (problem) {
    console.error(problem.message);
    process.exitCode = 1;
  }
}

function exampleLine(engine, program, name, seconds) {
  const { sheet } = engine.readSheet(readFileSync(join(root, 'examples', `${name}.sheet.yaml`), 'utf8'));
  if (sheet === null) throw new Error('the sheet is refused');
  const flat = engine.flatten(sheet);
  const lines = engine.asLines(flat);
  const whole = () => engine.ask('waveform', sheet, { samples: SAMPLES, isothermal: true });
  const answer = whole();
  if (answer.failure !== undefined) throw new Error(`no answer: ${answer.failure.kind}`);
  const named = flat.nodes.flatMap((node, i) => (node in answer.nodes ? [i] : []));
  const ours = Array.from({ length: SAMPLES }, (_, k) => flat.nodes.map((node) => answer.nodes[node]?.[k] ?? 0));

  // The wait that IDA needs follows from the slowest multiplier, which the engine knows: nothing is wasted on its side.
  const periods = (error) => Math.max(3, 2 + Math.ceil(Math.log(error / 10) / Math.log(Math.max(answer.multiplier ?? 0, 1e-6))));
  if (periods(1e-7) > MOST_PERIODS) throw new Error(`settles too slowly for a long run: ${periods(1e-7)} periods`);
  const reference = runOutside(program, lines, [periods(1e-7), 1e-8, 1e-9, SAMPLES]);
  if (reference === null) throw new Error('IDA gave up');
  const error = distance(ours, reference.samples, named);

  const setting = cheapest(program, lines, periods, reference.samples, named, Math.max(error, NO_CLOSER));
  if (setting === null) throw new Error(`IDA did not reach our error of ${digits(error)} V at any setting tried`);
  const room = Math.max(1, seconds - elapsed());
  const runs = Math.max(3, Math.min(RUNS, 2 * Math.floor(room / (2 * (setting.seconds + 0.2))) + 1));
  const alone = [];
  const full = [];
  const outside = [];
  for (let k = 0; k < runs; k++) {
    alone.push(timed(() => engine.settleOnly(sheet)));
    full.push(timed(whole));
    outside.push(runOutside(program, lines, setting.words).seconds);
  }
  const ida = median(outside);
  return (
    `  ${name.padEnd(28)} ${digits(ida / median(alone)).padStart(6)} / ${digits(ida / median(full)).padEnd(6)} ` +
    `at ${digits(error)} V against ${digits(setting.error)} V; ${digits(median(alone) * 1000)} and ${digits(median(full) * 1000)} ms against ` +
    `${digits(ida * 1000)} ms (${setting.words[0]} periods at ${setting.words[1]}), medians of ${runs}`
  );
}

/** The loosest tolerance and the fewest periods with which IDA's error is no larger than `error`. */
function cheapest(program, lines, periods, reference, named, error) {
  let best = null;
  const attempt = (relative, count) => {
    const words = [count, relative, relative / 10, SAMPLES];
    const run = runOutside(program, lines, words);
    if (run === null) return false;
    const reached = distance(run.samples, reference, named);
    if (reached > error) return false;
    if (best === null || run.seconds < best.seconds) best = { words, seconds: run.seconds, error: reached };
    return true;
  };
  const enough = periods(error / 4);
  for (const relative of [1e-3, 1e-4, 1e-5, 1e-6, 1e-7]) {
    if (!attempt(relative, enough)) continue;
    let few = 2;
    let many = enough;
    for (let k = 0; k < 4 && many - few > 1; k++) {
      const middle = Math.ceil((few + many) / 2);
      if (attempt(relative, middle)) many = middle;
      else few = middle;
    }
    break;
  }
  return best;
}
