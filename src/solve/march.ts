/** One step forward in time: the coupled stages solved by Newton from the charges at the start. */
import type { Kernel } from '../circuit/kernel.ts';
import { SingularMatrix } from '../numerics/sparse.ts';
import { STAGES, type StageBlock } from './radau.ts';
import { junctionsOf } from './static.ts';

const MOST_ITERATIONS = 60;
/** V or A, relative to 1 plus the unknown: a step of Newton below this is followed by one evaluation and done. */
const SMALL = 1e-7;

/** Factors the block; false where the matrix is singular. */
export function factored(block: StageBlock, h: number): boolean {
  try {
    block.factor(h);
    return true;
  } catch (e) {
    if (e instanceof SingularMatrix) return false;
    throw e;
  }
}

/**
 * Solves the stages that begin at `at` in `x` (first guesses on entry) over a step h from `charge`, with the generator at
 * `emfs`. Leaves the block evaluated and factored at the solution. False where Newton does not get there.
 */
export function marchStep(
  kernel: Kernel,
  block: StageBlock,
  x: Float64Array,
  at: number,
  h: number,
  charge: Float64Array,
  emfs: readonly number[],
): boolean {
  const n = kernel.n;
  const width = STAGES * n;
  const count = kernel.junctionCount;
  const junctions = new Float64Array(STAGES * count);
  for (let k = 0; k < STAGES; k++)
    junctionsOf(kernel, x.subarray(at + k * n, at + (k + 1) * n), junctions.subarray(k * count, (k + 1) * count));
  const step = new Float64Array(width);
  let done = false;
  for (let k = 0; k < MOST_ITERATIONS; k++) {
    const limited = block.evaluate(x, at, h, charge, emfs, junctions, 0);
    if (!factored(block, h)) return false;
    if (done && !limited) return true;
    block.lu.solve(block.residual, step);
    let worst = 0;
    for (let i = 0; i < width; i++) {
      x[at + i] -= step[i];
      const size = Math.abs(step[i]) / (1 + Math.abs(x[at + i]));
      if (!(size <= worst)) worst = size;
    }
    if (Number.isNaN(worst)) return false;
    done = !limited && worst < SMALL;
  }
  return false;
}
