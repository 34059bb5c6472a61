/** What was wrong with a sheet or with the command, as the contract has it: a place and a sentence each, exit status 2. */
import type { Problem } from '../sheet/types.ts';

/** Stands where a file's name would, for what is wrong on the command line itself. */
const COMMAND_LINE = 'command line';

/** One thing wrong, with the file that it stands in; lines and columns count from 1. */
export interface Complaint {
  file: string;
  line: number;
  column: number;
  severity: Problem['severity'];
  code: string;
  /** Dotted path into the sheet, empty for the command line. */
  path: string;
  sentence: string;
}

/** Thrown by commands that cannot go on; the top level prints the complaints and ends with status 2. */
export class Refusal extends Error {
  readonly complaints: Complaint[];
  constructor(complaints: Complaint[]) {
    super(complaints.map(complaintLine).join('\n'));
    this.name = 'Refusal';
    this.complaints = complaints;
  }
}

/** `file:line:column: sentence`, the form that editors jump by. */
export function complaintLine({ file, line, column, severity, sentence }: Complaint): string {
  return `${file}:${line}:${column}: ${severity === 'warning' ? 'warning: ' : ''}${sentence}`;
}

/** A sheet's problem with the name of its file. */
export function inFile(file: string, { place, severity, code, path, sentence }: Problem): Complaint {
  return { file, line: place.line, column: place.column, severity, code, path, sentence };
}

/**
 * Something wrong on the command line. The column is where `word` stands in the command as it would be typed with
 * `footroom` in front, 1 where it does not.
 */
export function onCommandLine(word: string, code: string, sentence: string, path = ''): Complaint {
  const typed = ['footroom', ...process.argv.slice(2)].join(' ');
  const at = word === '' ? -1 : typed.indexOf(word, 'footroom'.length);
  return { file: COMMAND_LINE, line: 1, column: at < 0 ? 1 : at + 1, severity: 'error', code, path, sentence };
}
