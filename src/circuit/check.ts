/** Everything that can be found wrong with a sheet before it is solved: in its text, and in its connections. */

import type { SheetDocument } from '../sheet/document.ts';
import { applyVerbs, placeOf, type ReadResult, readSheet, type Verb } from '../sheet/index.ts';
import type { Problem, Sheet } from '../sheet/types.ts';
import { checkTopology } from './topology.ts';

const ELECTRICAL: readonly string[] = ['floating-node', 'source-loop'];

/** Whether a problem is one of the circuit, not of the text: after a bench verb such a one is "no answer here". */
export function isElectrical(problem: Problem): boolean {
  return ELECTRICAL.includes(problem.code);
}

/**
 * Read a sheet and check that it can work electrically with each of its loads. All problems at once, in the order of
 * the text; `sheet` is null if any is an error.
 */
export function checkSheet(text: string): ReadResult {
  return withTopology(readSheet(text));
}

/** Add what the connections alone can tell to a sheet that has been read. */
export function withTopology(read: ReadResult): ReadResult {
  const { document, sheet } = read;
  if (sheet === null) return read;
  const found = topologyProblems(document, sheet);
  const problems = [...read.problems, ...found].sort((a, b) => a.place.line - b.place.line || a.place.column - b.place.column);
  return { document, sheet: found.some(({ severity }) => severity === 'error') ? null : sheet, problems };
}

/** The findings of `checkTopology` with their places in the text. With `load`, those of that load alone. */
export function topologyProblems(document: SheetDocument, sheet: Sheet, load?: string | null): Problem[] {
  return checkTopology(sheet, load).map(({ severity, code, path, sentence }) => ({
    severity,
    code,
    path,
    place: placeOf(document, path),
    sentence,
  }));
}

/**
 * Apply bench verbs to a sheet and check the result. A problem with `option` is the verb's fault; one for which
 * `isElectrical` holds says that the changed circuit cannot work.
 */
export function applyAndCheck(document: SheetDocument, verbs: readonly Verb[]): ReadResult {
  return withTopology(applyVerbs(document, verbs));
}
