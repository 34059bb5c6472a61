/** From the command line's words to a sound sheet: reads the file, makes the changes, refuses what is wrong. */
import { checkSheet } from '../circuit/check.ts';
import { applyVerbs, parseSet, type SheetDocument, type Verb } from '../sheet/index.ts';
import type { Problem, Sheet } from '../sheet/types.ts';
import { readText } from './files.ts';
import { type Complaint, inFile, onCommandLine, Refusal } from './refusal.ts';
import type { TypedChange } from './typed.ts';

/** A sheet that can be asked, what messages call it, and what its author may not have meant. */
export interface SoundSheet {
  name: string;
  sheet: Sheet;
  document: SheetDocument;
  warnings: Complaint[];
}

function verbOf({ option, text }: TypedChange): Verb {
  if (option === 'load') return { verb: 'load', name: text };
  if (option !== 'set') return { verb: option, part: text };
  const read = parseSet(text);
  if ('verb' in read) return read;
  throw new Refusal([inOption(read, text)]);
}

/** A problem of a verb: its place counts within the option's value, which stands somewhere on the command line. */
export function inOption(problem: Problem, text: string): Complaint {
  const complaint = onCommandLine(text, problem.code, problem.sentence, problem.path);
  return { ...complaint, column: complaint.column + problem.place.column - 1 };
}

/** The text of the option that `problem` came from, or null where it stands in the sheet itself. */
function optionText(problem: Problem): string | null {
  return problem.option === undefined ? null : problem.option.replace(/^--\S+ /, '');
}

/**
 * Reads the sheet at `path` (`-`: standard input) and makes `changes` in their order. Throws a Refusal with every problem
 * of the sheet as written, its connections included, and of the changes. What the changes do to the connections is left
 * to the question, which then has no answer.
 */
export async function soundSheet(path: string, changes: readonly TypedChange[]): Promise<SoundSheet> {
  const { name, text } = await readText(path);
  const complaint = (problem: Problem): Complaint => {
    const option = optionText(problem);
    return option === null ? inFile(name, problem) : inOption(problem, option);
  };
  const read = checkSheet(text);
  if (read.sheet === null) throw new Refusal(read.problems.map(complaint));
  const changed = changes.length === 0 ? read : applyVerbs(read.document, changes.map(verbOf));
  if (changed.sheet === null) throw new Refusal(changed.problems.map(complaint));
  return { name, sheet: changed.sheet, document: changed.document, warnings: changed.problems.map(complaint) };
}
