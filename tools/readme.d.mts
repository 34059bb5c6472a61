export interface Command {
  line: string;
  words: string[];
  /** What README.md prints under the command; null where it prints nothing. */
  printed: string | null;
}
export function commandsOf(text: string): Command[];
export function runCommand(words: readonly string[]): { status: number | null; out: string; err: string };
