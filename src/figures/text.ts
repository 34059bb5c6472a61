/**
 * Text in figures: its sizes, and how wide it is. Widths come from a table of advance widths, without kerning, so that
 * layout is the same in Node, page and worker; where a reader's fonts are others, labels have some slack.
 */
import { BOLD, EXTRA, NODE, REGULAR } from './advances.ts';
import type { Line, Run } from './scene.ts';

export const SIZE = { axisTitle: 13, tick: 12.5, label: 13, node: 15 } as const;

/** Subscripts are this much of the size, as far as readable. */
export const DROP_SCALE = 0.78;

const FIRST = 32;
const PLAIN_COUNT = 95;
/** What a character that is not in the table is taken for. */
const UNKNOWN = 600;

function advance(character: string, table: readonly number[]): number {
  const index = character.charCodeAt(0) - FIRST;
  if (index >= 0 && index < PLAIN_COUNT) return table[index];
  const extra = EXTRA.indexOf(character);
  return extra < 0 ? UNKNOWN : table[PLAIN_COUNT + extra];
}

export function sizeOf(run: Run, size: number): number {
  return run.node ? size + 2 : size;
}

/** Width of one line in px. */
export function widthOf(line: Line, size: number): number {
  let width = 0;
  for (const run of line) {
    const table = run.node ? NODE : run.bold ? BOLD : REGULAR;
    let sum = 0;
    for (const character of run.text) sum += advance(character, table);
    width += (sum / 1000) * sizeOf(run, size) * (run.drop ? DROP_SCALE : 1);
  }
  return width;
}

export function plain(text: string): Line {
  return [{ text }];
}

/** The text without its looks. */
export function textOf(line: Line): string {
  return line.map((run) => run.text).join('');
}

/** Breaks a line at spaces (never at no-break spaces) so that each piece is at most `width` wide, where words allow. */
export function wrapped(line: Line, width: number, size: number): Line[] {
  const lines: Run[][] = [[]];
  let used = 0;
  for (const run of line) {
    for (const word of run.text.split(/(?<= )/)) {
      const piece: Run = { ...run, text: word };
      const wide = widthOf([piece], size);
      const current = lines[lines.length - 1];
      if (used > 0 && used + widthOf([{ ...piece, text: word.trimEnd() }], size) > width) {
        lines.push([{ ...piece }]);
        used = wide;
        continue;
      }
      const last = current[current.length - 1];
      if (last !== undefined && sameLook(last, piece)) current[current.length - 1] = { ...last, text: last.text + word };
      else current.push(piece);
      used += wide;
    }
  }
  return lines.map((pieces) => pieces.map((piece, k) => (k === pieces.length - 1 ? { ...piece, text: piece.text.trimEnd() } : piece)));
}

function sameLook(a: Run, b: Run): boolean {
  return a.bold === b.bold && a.node === b.node && a.drop === b.drop && a.tone === b.tone;
}

/** As few lines as `wrapped` needs for `width`, but of about equal length. */
export function balanced(line: Line, width: number, size: number): Line[] {
  const count = wrapped(line, width, size).length;
  let narrow = width / Math.max(1, count);
  while (narrow < width && wrapped(line, narrow, size).length > count) narrow += 8;
  return wrapped(line, Math.min(narrow, width), size);
}
