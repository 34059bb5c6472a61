/** `--against`: reads the range as typed, asks over it, and prints the series for people. */
import { type Against, askAgainst, type KnobRange, type KnobScale } from '../answers/against.ts';
import { unitOfFigure } from '../answers/figure-units.ts';
import type { Answer, NoAnswer } from '../answers/types.ts';
import { formatQuantity, parseQuantity, type Unit } from '../quantity/index.ts';
import { applyVerbs, nearestName, quantityAt, quantityPaths } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { onCommandLine, Refusal } from './refusal.ts';
import { inOption, type SoundSheet } from './sheet.ts';

const USUAL_POINTS = 41;
const MOST_POINTS = 10_000;

function refuse(text: string, code: string, sentence: string): never {
  throw new Refusal([onCommandLine(text, code, sentence)]);
}

/** `PATH=FROM..TO`, then in any order `:POINTS` and `:log` or `:linear`. Throws a Refusal that says what is wrong. */
export function rangeOf(text: string, { sheet, document }: SoundSheet): KnobRange {
  const match = /^([^=]+)=(.+?)\.\.([^:]+)((?::[^:]+)*)$/.exec(text);
  if (match === null) refuse(text, 'not-a-range', `"${text}" is no range; write it as parts.R3.resistor=220..2k2:21.`);
  const [, path, from, to, settings] = match.map((piece) => piece.trim());
  const quantity = quantityAt(sheet, path);
  if (quantity === null) {
    const near = nearestName(path, quantityPaths(sheet));
    refuse(
      text,
      'unknown-path',
      `The sheet has no quantity at ${path}${near === null ? '; "--set" takes the same paths.' : `; is ${near} meant?`}`,
    );
  }
  // The sheet's own rules for the value hold for the whole range if they hold at both its ends.
  for (const value of [from, to]) {
    const { problems, sheet: changed } = applyVerbs(document, [{ verb: 'set', path, value }]);
    if (changed === null)
      throw new Refusal(problems.map((problem) => ({ ...inOption(problem, text), column: onCommandLine(value, '', '').column })));
  }
  let points = USUAL_POINTS;
  let scale: KnobScale | undefined;
  for (const setting of settings.split(':').slice(1)) {
    if (setting === 'log' || setting === 'linear') scale = setting;
    else if (/^\d+$/.test(setting) && Number(setting) >= 2 && Number(setting) <= MOST_POINTS) points = Number(setting);
    else refuse(setting, 'not-a-range', `":${setting}" is neither log nor linear nor a number of points from 2 to ${MOST_POINTS}.`);
  }
  const ends = { from: inUnit(from, quantity.unit), to: inUnit(to, quantity.unit) };
  if (scale === 'log' && !(ends.from > 0 && ends.to > 0))
    refuse(text, 'not-a-range', 'A range in logarithm cannot touch zero; write :linear.');
  return { path, ...ends, points, ...(scale === undefined ? {} : { scale }) };
}

function inUnit(text: string, unit: Unit): number {
  const read = parseQuantity(text, unit, { bareCelsius: true });
  if (read.ok) return read.value;
  return refuse(text, read.fault, `${read.cause}; ${read.remedy}.`);
}

/** The series asked for: all of them, or those named. Throws a Refusal for a name that the answers do not have. */
function chosen(against: Against, names: readonly string[]): Against {
  if (names.length === 0) return against;
  const known = Object.keys(against.figures);
  for (const name of names) {
    if (known.includes(name) || known.length === 0) continue;
    const near = nearestName(name, known);
    refuse(
      name,
      'unknown-figure',
      `The answers have no figure "${name}"; ${near === null ? `there are ${known.slice(0, 12).join(', ')}, ...` : `is ${near} meant?`}`,
    );
  }
  return { ...against, figures: Object.fromEntries(names.map((name) => [name, against.figures[name] ?? against.values.map(() => null)])) };
}

/** Asks over the whole range and keeps the figures named, or all. */
export function overRange(ask: (sheet: Sheet) => Answer | NoAnswer, sheet: Sheet, range: KnobRange, names: readonly string[]): Against {
  return chosen(askAgainst(ask, sheet, range), names);
}

/** The series as a table, one line a value; without chosen figures, what there is to choose from. */
export function againstLines(against: Against, names: readonly string[]): string[] {
  const heading = `Against ${against.path}`;
  if (names.length === 0) return [heading, 'Choose figures with --figure-of:', ...Object.keys(against.figures).map((name) => `  ${name}`)];
  const rows = [
    [against.path.split('.').slice(-2).join('.'), ...names],
    ...against.values.map((value, k) => [
      formatQuantity(value, against.unit as Unit),
      ...names.map((name) => {
        const figure = against.figures[name][k];
        return figure === null ? '-' : formatQuantity(figure, unitOfFigure(name), { digits: 4 });
      }),
    ]),
  ];
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  const table = rows.map((row) => row.map((cell, column) => cell.padStart(widths[column])).join('  '));
  const silent = against.unanswered.map(({ value, error }) => `No answer at ${formatQuantity(value, against.unit as Unit)}: ${error}`);
  return [heading, ...table, ...silent];
}
