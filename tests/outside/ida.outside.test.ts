/**
 * Six stages against SUNDIALS IDA (Hindmarsh and others, ACM TOMS 31(3):363, 2005) on equations written afresh in C++
 * (`ida/settle.cpp`) with an analytic Jacobian: a long run from rest until nothing changes from period to period.
 */
import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe } from 'vitest';
import { asLines, type FlatStage } from './exchange.ts';
import { type OutsideSolution, onEachStage, SAMPLES } from './stages.ts';

const SOURCE = fileURLToPath(new URL('./ida/settle.cpp', import.meta.url));
const LIBRARIES = ['-lsundials_ida', '-lsundials_nvecserial', '-lsundials_sunlinsoldense', '-lsundials_sunmatrixdense'];
const present = spawnSync('g++', ['-fsyntax-only', '-x', 'c++', '-'], { input: '#include <ida/ida.h>\n', timeout: 60_000 }).status === 0;

/** Twelve hundred periods: the slowest stage, 60 ms at 520 Hz or 50 us at 1 MHz, has then settled to 1e-9. */
const PERIODS = 1200;

describe('stages against SUNDIALS IDA', () => {
  let folder = '';
  beforeAll(() => {
    if (!present) return;
    folder = mkdtempSync(join(tmpdir(), 'outside-ida-'));
    execFileSync('g++', ['-O2', '-std=c++17', '-o', join(folder, 'settle'), SOURCE, ...LIBRARIES, '-lm']);
  }, 120_000);
  afterAll(() => {
    if (folder !== '') rmSync(folder, { recursive: true });
  });

  function settle(stage: FlatStage): Promise<OutsideSolution> {
    return new Promise((resolve, reject) => {
      const child = spawn(join(folder, 'settle'), [String(PERIODS), '1e-7', '1e-8', String(SAMPLES)]);
      let output = '';
      let errors = '';
      child.stdout.on('data', (chunk: Buffer) => (output += chunk));
      child.stderr.on('data', (chunk: Buffer) => (errors += chunk));
      child.on('error', reject);
      child.on('close', (status) => (status === 0 ? resolve(parse(stage, output)) : reject(new Error(errors))));
      child.stdin.end(asLines(stage));
    });
  }

  onEachStage('SUNDIALS IDA', present ? null : 'apt-get install g++ libsundials-dev', settle);
});

function parse(stage: FlatStage, output: string): OutsideSolution {
  const solution: OutsideSolution = { rest: {}, nodes: Object.fromEntries(stage.nodes.map((name) => [name, []])), miss: Number.NaN };
  for (const line of output.split('\n')) {
    const [word, ...rest] = line.split(' ');
    const values = rest.map(Number);
    for (const [k, name] of stage.nodes.entries()) {
      if (word === 'rest') solution.rest[name] = values[k]!;
      if (word === 'sample') solution.nodes[name]!.push(values[k]!);
    }
    if (word === 'miss') solution.miss = values[0]!;
  }
  return solution;
}
