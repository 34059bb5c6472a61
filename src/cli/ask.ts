/** `footroom ask`: one question about one sheet, for people or for programs. */
import type { Answer, AskOptions, NoAnswer, Question } from '../answers/types.ts';
import { nearestName } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { answer } from '../words/answer.ts';
import { againstLines, overRange, rangeOf } from './against.ts';
import { writeText } from './files.ts';
import { printAnswer, printNoAnswer } from './print/index.ts';
import { complaintLine, onCommandLine, Refusal } from './refusal.ts';
import { soundSheet } from './sheet.ts';
import { colourOn, whileSaying, widthOfOutput } from './terminal.ts';
import { QUESTIONS, type TypedChange, type TypedOptions } from './typed.ts';

/** The sheet is sound, but the question has no answer here. */
const UNANSWERED = 1;

/** Options that serve one question only. */
const SERVES: Partial<Record<keyof TypedOptions, Question>> = {
  frequency: 'impedance',
  from: 'impedance',
  to: 'impedance',
  points: 'impedance',
  samples: 'waveform',
  harmonics: 'waveform',
  fromRest: 'waveform',
  duration: 'waveform',
};

function questionNamed(text: string): Question {
  if (Object.hasOwn(QUESTIONS, text)) return text as Question;
  const questions = Object.keys(QUESTIONS);
  const near = nearestName(text, questions);
  const remedy = near === null ? `the questions are ${questions.join(', ')}` : `is ${near} meant?`;
  throw new Refusal([onCommandLine(text, 'unknown-question', `There is no question "${text}"; ${remedy}${near === null ? '.' : ''}`)]);
}

function dashed(option: string): string {
  return `--${option.replace(/[A-Z]/g, (capital) => `-${capital.toLowerCase()}`)}`;
}

function engineOptions({ json: _, figure: _figure, against: _against, figureOf: _figureOf, ...options }: TypedOptions): AskOptions {
  if (options.from !== undefined && options.to !== undefined && options.from >= options.to) {
    throw new Refusal([onCommandLine('--from', 'out-of-range', 'The curve would end before it begins; --from must be below --to.')]);
  }
  return options;
}

/** Says so of an option that does nothing for this question, rather than let it be believed. */
function mentionIdle(question: Question, options: TypedOptions): void {
  for (const [option, serves] of Object.entries(SERVES)) {
    if (Object.hasOwn(options, option) && serves !== question) {
      const flag = dashed(option);
      const sentence = `${flag} serves ${serves} and has no effect on ${question}.`;
      console.error(complaintLine({ ...onCommandLine(flag, 'idle-option', sentence), severity: 'warning' }));
    }
  }
}

/** Runs `footroom ask`. Throws a Refusal for a wrong sheet or option; sets the exit status where there is no answer. */
export async function runAsk(typed: string, path: string, changes: readonly TypedChange[], options: TypedOptions): Promise<void> {
  const question = questionNamed(typed);
  const settings = engineOptions(options);
  const sound = await soundSheet(path, changes);
  const { name, sheet, warnings } = sound;
  const range = options.against === undefined ? null : rangeOf(options.against, sound);
  mentionIdle(question, options);
  const said = warnings.map(({ sentence }) => sentence);
  const found = whileSaying(`Asking ${question} of ${sheet.title || name}`, () => answer(question, sheet, settings));
  const whole: Answer | NoAnswer = { ...found, warnings: [...said, ...found.warnings] };
  if ('error' in whole) {
    process.exitCode = UNANSWERED;
    if (options.json) {
      console.error(`${name}: ${whole.error}`);
      console.log(JSON.stringify(whole));
    } else process.stderr.write(printNoAnswer(whole, { colour: colourOn(process.stderr), width: widthOfOutput() }));
    return;
  }
  if (options.figure !== undefined) {
    const { figureOf } = await import('./figure.ts');
    await writeText(options.figure, figureOf(whole, sheet));
  }
  const figures = options.figureOf ?? [];
  const over = (each: Sheet): Answer | NoAnswer => answer(question, each, { ...settings, help: false });
  const against =
    range === null ? null : whileSaying(`Asking ${question} ${range.points} times`, () => overRange(over, sheet, range, figures));
  if (options.json) {
    console.log(JSON.stringify(against === null ? whole : { ...whole, against }));
    return;
  }
  if (against !== null) {
    console.log(againstLines(against, figures).join('\n'));
    return;
  }
  const paper = { colour: colourOn(process.stdout), width: widthOfOutput(), output: sheet.output, drive: sheet.drive?.node };
  process.stdout.write(printAnswer(whole, paper));
}
