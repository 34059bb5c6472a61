/**
 * Changing a sheet the way a circuit is changed on a bench. Each verb is an edit of the text that keeps everything
 * else; what it makes wrong is reported at the verb.
 */
import { readDocument, type SheetDocument } from './document.ts';
import { type ReadResult, readSheetDocument } from './read.ts';
import type { Problem, Sheet } from './types.ts';
import { type Verb, VerbFault, verbText } from './verb.ts';
import { insert, swap, tack } from './verb-part.ts';
import { bench, connect, set } from './verb-set.ts';

/**
 * Apply verbs in order. What cannot be done ends the row. A row may pass through sheets that could not stand alone
 * (a waveform first, its amplitude next); what is still wrong at its end is reported at the verb that brought it.
 * With errors the result has no sheet and the document as it was; the problems have `option`, their places counted in
 * the verb's text.
 */
export function applyVerbs(document: SheetDocument, verbs: readonly Verb[]): ReadResult {
  const start = readSheetDocument(document);
  if (start.sheet === null) return start;
  let { sheet } = start;
  let current: ReadResult = start;
  const broughtBy = new Map<string, Verb>();
  for (const verb of verbs) {
    const edited = editBy(current.document, sheet, verb);
    if (edited instanceof VerbFault) return { document, sheet: null, problems: [atVerb(verb, edited)] };
    if (edited === current.document.text) continue;
    current = readSheetDocument(readDocument(edited));
    sheet = current.sheet ?? sheet;
    for (const problem of errorsOf(current)) if (!broughtBy.has(keyOf(problem))) broughtBy.set(keyOf(problem), verb);
  }
  if (current.sheet !== null) return current;
  const problems = errorsOf(current).map((problem) => {
    const { code, path, sentence } = problem;
    return atVerb(broughtBy.get(keyOf(problem)) ?? verbs[verbs.length - 1], new VerbFault(code, path, lastStep(path), sentence));
  });
  return { document, sheet: null, problems };
}

function errorsOf({ problems }: ReadResult): Problem[] {
  return problems.filter(({ severity }) => severity === 'error');
}

function keyOf({ code, path }: Problem): string {
  return `${code} ${path}`;
}

function lastStep(path: string): string {
  return path.split('.').at(-1) ?? '';
}

function atVerb(verb: Verb, { code, path, word, sentence }: VerbFault): Problem {
  const text = verbText(verb);
  const at = word === '' ? -1 : text.indexOf(word);
  return { severity: 'error', code, path, place: { line: 1, column: Math.max(0, at) + 1 }, sentence, option: `--${verb.verb} ${text}` };
}

/** The text after a verb, or what is wrong with the verb. */
function editBy(document: SheetDocument, sheet: Sheet, verb: Verb): string | VerbFault {
  switch (verb.verb) {
    case 'set':
      return set(document, sheet, verb.path, verb.value);
    case 'load':
      return connect(document, verb.name);
    case 'lift':
    case 'short':
    case 'restore':
      return bench(document, verb.part, verb.verb);
    case 'tack':
      return tack(document, verb.part);
    case 'insert':
      return insert(document, verb.part);
    case 'swap':
      return swap(document, verb.part);
  }
}
