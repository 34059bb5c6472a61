/** Answers in print. */
export { type PrintOptions, printAnswer, printNoAnswer } from './answer.ts';
