/**
 * Six stages against SciPy on equations written afresh in Python (`scipy/settle.py`): scipy.optimize.root for the rest,
 * scipy.integrate.solve_bvp for the settled period, solve_ivp (Radau) as proof. Source: SciPy, Nature Methods 17:261 (2020).
 */
import { spawn, spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { describe } from 'vitest';
import type { FlatStage } from './exchange.ts';
import { type OutsideSolution, onEachStage } from './stages.ts';

const SCRIPT = fileURLToPath(new URL('./scipy/settle.py', import.meta.url));
const present = spawnSync('python3', ['-c', 'import numpy, scipy.integrate'], { timeout: 60_000 }).status === 0;

/** Runs the script on one stage; rejects with what it wrote to its error output. */
function settle(stage: FlatStage): Promise<OutsideSolution> {
  return new Promise((resolve, reject) => {
    // One thread: the matrices are tiny, and threads only quarrel over them.
    const child = spawn('python3', [SCRIPT], { env: { ...process.env, OMP_NUM_THREADS: '1', OPENBLAS_NUM_THREADS: '1' } });
    let output = '';
    let errors = '';
    child.stdout.on('data', (chunk: Buffer) => (output += chunk));
    child.stderr.on('data', (chunk: Buffer) => (errors += chunk));
    child.on('error', reject);
    child.on('close', (status) => (status === 0 ? resolve(JSON.parse(output) as OutsideSolution) : reject(new Error(errors))));
    child.stdin.end(JSON.stringify(stage));
  });
}

describe('stages against SciPy', () => {
  onEachStage('SciPy', present ? null : 'apt-get install python3-scipy', settle);
});
