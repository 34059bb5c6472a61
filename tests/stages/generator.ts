/** Ten thousand sound stages, each a function of its number alone. `ranges.ts` states what they are drawn from. */
import type { Sheet } from '../../src/sheet/types.ts';
import { type Block, PLAIN_BLOCKS } from './blocks.ts';
import { Builder } from './builder.ts';
import { FEEDBACK_BLOCKS } from './feedback.ts';
import { randomFrom } from './random.ts';
import { FEEDBACK_EVERY, MOST_TRANSISTORS, RANGES, SEED } from './ranges.ts';

/** Largest number of transistors that any one block may add (a pair on a sink, with a mirror for a load). */
const LARGEST_BLOCK = 7;

/** So many blocks always fit below the limit; the one with feedback is among them. */
const SURELY_REACHED = 4;

/** True for the fifth of the stages that has a block with feedback. */
export const hasFeedback = (index: number): boolean => index % FEEDBACK_EVERY === 0;

/**
 * Stage number `index`, from 0: one block or a cascade of two to six, each fed from the one before.
 * The same number gives the same sheet on every host.
 */
export function generateStage(index: number): Sheet {
  const random = randomFrom(SEED, index);
  const builder = new Builder(random);
  const input = 'in';
  const count = random.chance(0.35) ? 1 : random.integer(RANGES.blocks[0], RANGES.blocks[1]);
  const loop = hasFeedback(index) ? random.integer(0, Math.min(count, SURELY_REACHED) - 1) : -1;
  const names: string[] = [];
  let signal = input;
  for (let place = 0; place < count && builder.transistors + LARGEST_BLOCK <= MOST_TRANSISTORS; place++) {
    const block: Block = random.pick(place === loop ? FEEDBACK_BLOCKS : PLAIN_BLOCKS);
    names.push(block.name);
    signal = block(builder, signal);
  }
  return builder.sheet(`Stage ${index}: ${names.join(', ')}`, input, signal);
}
