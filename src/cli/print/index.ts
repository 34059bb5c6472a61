/** Answers in print. */
export { printAnswer, printNoAnswer } from './answer.ts';
