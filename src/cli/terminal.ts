/** What is known of the terminal, if there is one. */

/** Width of lines for people where the terminal does not tell, in characters. */
const USUAL_WIDTH = 100;

/** True where colour is welcome on `stream`: a terminal, and NO_COLOR (no-color.org) is not set. */
export function colourOn(stream: NodeJS.WriteStream): boolean {
  return stream.isTTY === true && !process.env.NO_COLOR && process.env.TERM !== 'dumb';
}

/** Characters in a line of standard output. */
export function widthOfOutput(): number {
  return process.stdout.columns ?? USUAL_WIDTH;
}

/** Shows `sentence` on standard error while `work` runs, where somebody watches, and takes it away again. */
export function whileSaying<T>(sentence: string, work: () => T): T {
  if (!process.stderr.isTTY) return work();
  process.stderr.write(`${sentence} ...`);
  try {
    return work();
  } finally {
    // Back to the line's start, and erase to its end (ECMA-48: CR, EL).
    process.stderr.write('\r\u001b[K');
  }
}
