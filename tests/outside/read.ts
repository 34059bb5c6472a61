/** From the text of a sheet to the sheet, or an error with every problem found. */
import { readSheet } from '../../src/sheet/read.ts';
import type { Sheet } from '../../src/sheet/types.ts';

/** The sheet in `text`. Throws with the problems' places and sentences when it is refused. */
export function sheetFromText(text: string): Sheet {
  const { sheet, problems } = readSheet(text);
  if (sheet === null) {
    throw new Error(problems.map(({ place, sentence }) => `${place.line}:${place.column}: ${sentence}`).join('\n'));
  }
  return sheet;
}
