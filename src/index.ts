/**
 * Footroom's engine as a library: read a sheet, ask it a question, draw it. It knows neither a document nor a file
 * system; whoever calls it reads and writes the files. Quantities are SI throughout; temperatures are kelvin in sheets
 * and °C in answers.
 *
 * ```ts
 * import { answer, checkSheet } from 'footroom';
 *
 * const { sheet, problems } = checkSheet(text);
 * if (sheet === null) for (const { place, sentence } of problems) console.log(place.line, sentence);
 * else console.log(answer('swing', sheet).sentences);
 * ```
 *
 * This page is the table of contents, in reading order: sheets, questions, answers, pictures, devices, quantities.
 *
 * @packageDocumentation
 */
export * from './sheet/index.ts';
export type * from './sheet/types.ts';
export { checkSheet } from './circuit/check.ts';
export { answer } from './words/answer.ts';
export type * from './answers/types.ts';
export type * from './answers/notes.ts';
export { type Against, askAgainst, figuresOf, type KnobRange, type KnobScale } from './answers/against.ts';
export { unitOfFigure } from './answers/figure-units.ts';
export * as drawing from './drawing/index.ts';
export { restLayout, restValues } from './drawing/rest.ts';
export * as figures from './figures/index.ts';
export { builtinDevice, builtinNames } from './devices/builtin.ts';
export * from './devices/fit.ts';
export type * from './devices/parameters.ts';
export * from './quantity/index.ts';
