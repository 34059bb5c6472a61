/** Paragraphs for a terminal: wrapped at spaces, never between a number and its unit. */

const NO_BREAK = /\u00a0/g;

/** Characters a text takes on screen: code points; escape sequences take none. */
export function shownLength(text: string): number {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: an escape sequence begins with the escape character
  return [...text.replace(/\u001b\[[0-9;]*m/g, '')].length;
}

/** Lines of at most `width` characters; no-break spaces become plain ones once the lines are made. */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/ +/)) {
    if (line !== '' && shownLength(line) + 1 + shownLength(word) > width) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  if (line !== '') lines.push(line);
  return lines.map((one) => one.replace(NO_BREAK, ' '));
}

/** A paragraph with a word before it, the text hanging beside the word. */
export function hanging(head: string, text: string, indent: number, width: number): string[] {
  const margin = ' '.repeat(indent);
  return wrap(text, width - indent).map((line, k) =>
    k === 0 ? head + ' '.repeat(Math.max(0, indent - shownLength(head))) + line : margin + line,
  );
}

/** `left` and `right` at the two ends of a line of `width`; on two lines where they do not fit. */
export function apart(left: string, right: string, width: number): string {
  const gap = width - shownLength(left) - shownLength(right);
  return gap >= 2 ? left + ' '.repeat(gap) + right : `${left}\n${right}`;
}
