/** An answer on a terminal: its sentences first, then figure, tables, causes, ledger, and what was assumed. */
import type { Answer, NoAnswer } from '../../answers/types.ts';
import { inked } from '../../figures/colour.ts';
import { swingScene } from '../../figures/swing.ts';
import { toTerminal } from '../../figures/terminal.ts';
import { waveformScene } from '../../figures/waveform.ts';
import { causeLines } from './causes.ts';
import { figureBlocks } from './figures.ts';
import { ledgerLines } from './ledger.ts';
import { apart, hanging, wrap } from './text.ts';

export interface PrintOptions {
  /** Select graphic rendition codes; default false. */
  colour?: boolean;
  /** Characters to a line, default 80; at least 40. */
  width?: number;
  /** Names of the sheet, for the figure. */
  output?: string;
  drive?: string;
}

const LEAST_WIDTH = 40;
/** Text wider than this is hard to read; tables and figures may be wider. */
const TEXT_AT_MOST = 92;
const FIGURE_AT_MOST = 100;
const INDENT = 2;

function indented(lines: readonly string[]): string[] {
  return lines.map((line) => (line === '' ? '' : ' '.repeat(INDENT) + line));
}

function figureLines(answer: Answer, options: PrintOptions, width: number): string[] {
  const columns = Math.min(width, FIGURE_AT_MOST);
  const size = { columns, rows: 12, colour: options.colour ?? false };
  if (answer.question === 'swing')
    return toTerminal(swingScene(answer, { output: options.output }), size)
      .trimEnd()
      .split('\n');
  if (answer.question === 'waveform')
    return toTerminal(waveformScene(answer, undefined, { output: options.output, drive: options.drive }), size)
      .trimEnd()
      .split('\n');
  return [];
}

function headLines(title: string, question: string, load: string | null, width: number, colour: boolean): string[] {
  const key = load === null ? question : `${question}, ${load}`;
  return [...apart(inked(title, 'bold', colour), inked(key, 'faint', colour), width).split('\n'), '═'.repeat(width)];
}

function section(head: string, lines: readonly string[], width: number, colour: boolean): string[] {
  return lines.length === 0 ? [] : ['', inked(head, 'bold', colour), inked('─'.repeat(width), 'faint', colour), ...lines];
}

/**
 * A spoken answer (see `speak`) as text for people, ending with a newline.
 * @param answer sentences as they stand in it are printed; nothing is worked out anew
 */
export function printAnswer(answer: Answer, options: PrintOptions = {}): string {
  const width = Math.max(LEAST_WIDTH, options.width ?? 80);
  const colour = options.colour ?? false;
  const inner = width - INDENT;
  const textWidth = Math.min(inner, TEXT_AT_MOST);
  const lines: string[] = [...headLines(answer.title, answer.question, answer.load, width, colour), ''];
  for (const line of wrap(answer.sentences.join(' '), textWidth)) lines.push(...indented([inked(line, 'bold', colour)]));

  const figure = figureLines(answer, options, inner);
  if (figure.length > 0) lines.push('', ...indented(figure));
  for (const block of figureBlocks(answer, { width: inner, colour })) {
    if (block.length > 0) lines.push('', ...indented(block));
  }
  const causes = causeLines(answer, { width: textWidth, colour });
  lines.push(...indented(section('Cause and evidence', causes, textWidth, colour)));
  lines.push(...indented(section('Ledger', ledgerLines(answer.ledger, inner, colour), inner, colour)));
  if (answer.warnings.length > 0)
    lines.push('', ...answer.warnings.flatMap((text) => indented(hanging(inked('Mind', 'warn', colour), text, 9, textWidth))));
  if (answer.assumptions.length > 0) {
    lines.push('');
    answer.assumptions.forEach((text, k) => {
      lines.push(...indented(hanging(k === 0 ? inked('Assumed', 'faint', colour) : '', text, 9, textWidth)));
    });
  }
  return `${lines.join('\n')}\n`;
}

/** Why there is no answer, for people, ending with a newline. */
export function printNoAnswer(answer: NoAnswer, options: PrintOptions = {}): string {
  const width = Math.max(LEAST_WIDTH, options.width ?? 80);
  const colour = options.colour ?? false;
  const textWidth = Math.min(width - INDENT, TEXT_AT_MOST);
  const lines = [...headLines(answer.title, answer.question, null, width, colour), ''];
  lines.push(...indented(wrap(answer.error, textWidth).map((line) => inked(line, 'bold', colour))));
  if (answer.tried.length > 0) {
    lines.push('');
    answer.tried.forEach((text, k) => {
      lines.push(...indented(hanging(k === 0 ? inked('Tried', 'faint', colour) : '', text, 9, textWidth)));
    });
  }
  if (answer.warnings.length > 0)
    lines.push('', ...answer.warnings.flatMap((text) => indented(hanging(inked('Mind', 'warn', colour), text, 9, textWidth))));
  return `${lines.join('\n')}\n`;
}
