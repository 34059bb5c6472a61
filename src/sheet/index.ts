/** The sheet: reading it, checking it, changing it, writing it back. */
export { isWritten, placeOf, readDocument, type SheetDocument, writeSheet } from './document.ts';
export { apply, applyText, type History, type HistoryStep, nextSteps, redo, startHistory, undo } from './history.ts';
export { nearestName } from './nearest.ts';
export { quantityAt, quantityPaths, type SheetQuantity, withValue } from './paths.ts';
export { type ReadResult, readSheet, readSheetDocument } from './read.ts';
export { sheetJsonSchema } from './schema-json.ts';
export { terminalsOf } from './terminals.ts';
export { parseSet, type Verb, verbName, verbText } from './verb.ts';
export { applyVerbs } from './verbs.ts';
