/**
 * What each answer means for what the sheet asks: meets it, falls short of it, or is something to mind; and each
 * answer in one line. Words carry the verdict; the mark beside it comes second.
 */
import type {
  Answer,
  ImpedanceAnswer,
  Question,
  QuiescentAnswer,
  SwingAnswer,
  TransistorFigures,
  WaveformAnswer,
} from '../answers/types.ts';
import type { Bound, Sheet } from '../sheet/types.ts';
import { blamed, eventPhrase, limitSentence } from '../words/causes.ts';
import { say } from '../words/numbers.ts';
import { surroundingsOf } from '../words/surroundings.ts';
import { isUnanswered, type Result } from './protocol.ts';

export type Mark = 'ok' | 'fails' | 'mind' | 'none';

export interface Verdict {
  mark: Mark;
  /** `meets`, `falls short`, `mind`, `no answer`, or nothing where the sheet asks for nothing. */
  words: string;
}

/** Text in pieces; the strong ones are the figures. */
export interface Piece {
  text: string;
  strong: boolean;
}

const plain = (text: string): Piece => ({ text, strong: false });
const strong = (text: string): Piece => ({ text, strong: true });

const MEETS: Verdict = { mark: 'ok', words: 'meets' };
const SHORT: Verdict = { mark: 'fails', words: 'falls short' };
const MIND: Verdict = { mark: 'mind', words: 'mind' };
const NOTHING_ASKED: Verdict = { mark: 'none', words: '' };

/** The verdict of one answer against the targets of its sheet. */
export function verdictOf(answer: Result | undefined, sheet: Sheet): Verdict {
  if (answer === undefined) return NOTHING_ASKED;
  if (isUnanswered(answer)) return { mark: 'none', words: 'no answer' };
  const checks = checksOf(answer, sheet).filter((check) => check !== null);
  if (checks.some((met) => !met)) return SHORT;
  if (answer.warnings.length > 0) return MIND;
  return checks.length > 0 ? MEETS : NOTHING_ASKED;
}

/** True, false, or null where the sheet does not ask. */
function within(bound: Bound | undefined, value: number | null | undefined): boolean | null {
  if (bound === undefined || value === undefined) return null;
  if (value === null) return bound.atLeast === undefined && bound.atMost === undefined ? null : false;
  return (bound.atLeast === undefined || value >= bound.atLeast) && (bound.atMost === undefined || value <= bound.atMost);
}

function checksOf(answer: Answer, sheet: Sheet): (boolean | null)[] {
  const { targets } = sheet;
  switch (answer.question) {
    case 'quiescent': {
      const power = Object.values(answer.supplies).reduce((sum, supply) => sum + supply.power, 0);
      const hottest = Math.max(...Object.values(answer.parts).map((part) => part.junctionTemperature ?? Number.NEGATIVE_INFINITY));
      const standing = largestCurrent(answer)?.amperes;
      return [
        within(targets.supplyPower, power),
        // Targets hold kelvin, answers degrees Celsius.
        Number.isFinite(hottest) ? within(targets.junctionTemperature, hottest + 273.15) : null,
        within(targets.standingCurrent, standing),
      ];
    }
    case 'swing':
      if (answer.brief) return [shortOf(targets.outputPeakToPeak, answer)];
      return [within(targets.outputPeakToPeak, answer.clean === null ? 0 : answer.clean.peakToPeak)];
    case 'impedance':
      return [
        within(targets.lowCorner, answer.lowCorner ?? undefined),
        within(targets.highCorner, answer.highCorner ?? undefined),
        within(targets.inputImpedance, answer.inputImpedance.magnitude),
        within(targets.outputImpedance, answer.outputImpedance.magnitude),
      ];
    case 'waveform': {
      const distortion = distortionOf(answer);
      const met = within(targets.distortion, distortion);
      const output = sheet.output === undefined ? undefined : answer.measures[sheet.output]?.peakToPeak;
      // A small drive gives a small output: that is no shortcoming of the stage as long as it is clean.
      const size = within(targets.outputPeakToPeak, output);
      return [met, size === false && met !== false ? null : size];
    }
  }
}

/**
 * Before the clean output is known: twice the smaller room is all that comes through alike either way, so a target beyond
 * that is missed (false); whether another is met is open (null).
 */
function shortOf(bound: Bound | undefined, { high, low }: SwingAnswer): false | null {
  const room = Math.min(high?.room ?? Number.POSITIVE_INFINITY, low?.room ?? Number.POSITIVE_INFINITY);
  return bound?.atLeast !== undefined && 2 * room < bound.atLeast ? false : null;
}

/** Total harmonic distortion relative to the fundamental (IEC 60268-3), or the departure from straight where there is no fundamental to speak of. */
export function distortionOf(answer: WaveformAnswer): number | null {
  const distortion = answer.spectrum?.distortion;
  if (distortion === undefined) return null;
  return typeof distortion.departure === 'number' ? distortion.departure : distortion.relativeToFundamental;
}

function isTransistor(figures: QuiescentAnswer['parts'][string]): figures is TransistorFigures {
  return 'collectorCurrent' in figures;
}

function largestCurrent(answer: QuiescentAnswer): { part: string; amperes: number } | null {
  let largest: { part: string; amperes: number } | null = null;
  for (const [part, figures] of Object.entries(answer.parts)) {
    if (!isTransistor(figures)) continue;
    if (largest === null || figures.collectorCurrent > largest.amperes) largest = { part, amperes: figures.collectorCurrent };
  }
  return largest;
}

/** One line for the list of short answers. */
export function shortAnswer(answer: Result, sheet: Sheet): Piece[] {
  if (isUnanswered(answer)) return [plain(answer.error)];
  switch (answer.question) {
    case 'quiescent':
      return shortQuiescent(answer, sheet);
    case 'swing':
      return shortSwing(answer);
    case 'impedance':
      return shortImpedance(answer);
    case 'waveform':
      return shortWaveform(answer, sheet);
  }
}

function shortQuiescent(answer: QuiescentAnswer, sheet: Sheet): Piece[] {
  const pieces: Piece[] = [];
  if (sheet.output !== undefined && answer.nodes[sheet.output] !== undefined) {
    pieces.push(plain(`${sheet.output} rests at `), strong(say(answer.nodes[sheet.output], 'V')), plain(', '));
  }
  const largest = largestCurrent(answer);
  if (largest !== null) pieces.push(plain(`${largest.part} stands at `), strong(say(largest.amperes, 'A')), plain(', '));
  const power = Object.values(answer.supplies).reduce((sum, supply) => sum + supply.power, 0);
  pieces.push(plain(`${say(power, 'W')} from the ${Object.keys(answer.supplies).length === 1 ? 'supply' : 'supplies'}`));
  return pieces;
}

function shortSwing(answer: SwingAnswer): Piece[] {
  if (answer.high === null && answer.low === null) return [plain('no limit found either way in the range looked at')];
  const side = (limit: SwingAnswer['high'], word: string): Piece[] =>
    limit === null ? [plain(`no end of the ${word} found in range`)] : [strong(say(limit.room, 'V')), plain(` of ${word}`)];
  const tight = tighter(answer);
  const pieces = [...side(answer.high, 'headroom'), plain(', '), ...side(answer.low, 'footroom')];
  if (tight !== null && blamed(tight.limit.cause).length > 0) pieces.push(plain(`: ${eventPhrase(tight.limit.cause)}`));
  return pieces;
}

function shortImpedance(answer: ImpedanceAnswer): Piece[] {
  const pieces = [
    plain('source sees '),
    strong(say(answer.inputImpedance.magnitude, 'Ω')),
    plain(`, ${answer.load ?? 'the output'} fed from `),
    strong(say(answer.outputImpedance.magnitude, 'Ω')),
  ];
  if (answer.lowCorner !== null && answer.highCorner !== null)
    pieces.push(plain(`, ${say(answer.lowCorner, 'Hz')} to ${say(answer.highCorner, 'Hz')}`));
  else if (answer.lowCorner !== null) pieces.push(plain(`, ${say(answer.lowCorner, 'Hz')} upward`));
  else if (answer.highCorner !== null) pieces.push(plain(`, up to ${say(answer.highCorner, 'Hz')}`));
  return pieces;
}

function shortWaveform(answer: WaveformAnswer, sheet: Sheet): Piece[] {
  const output = sheet.output === undefined ? undefined : answer.measures[sheet.output];
  const distortion = distortionOf(answer);
  const pieces: Piece[] = [];
  if (output !== undefined) pieces.push(strong(say(output.peakToPeak, 'V')), plain(' peak to peak'));
  if (distortion !== null) pieces.push(plain(' at '), strong(say(distortion, 'share')), plain(' distortion'));
  const wants: string[] = [];
  if (sheet.targets.outputPeakToPeak?.atLeast !== undefined) wants.push(say(sheet.targets.outputPeakToPeak.atLeast, 'V'));
  if (sheet.targets.distortion?.atMost !== undefined) wants.push(`at ${say(sheet.targets.distortion.atMost, 'share')}`);
  if (wants.length > 0) pieces.push(plain(`; asked, ${wants.join(' ')}`));
  return pieces;
}

/** The end of the swing with the least room. */
export function tighter(answer: SwingAnswer): { side: 'high' | 'low'; limit: NonNullable<SwingAnswer['high']> } | null {
  const { high, low } = answer;
  if (high !== null && (low === null || high.room < low.room)) return { side: 'high', limit: high };
  return low === null ? null : { side: 'low', limit: low };
}

/**
 * The largest sentence of the page: the cause of the first question that falls short; where none does, the first
 * answer there is. Null before anything is answered.
 */
export function headline(answers: Partial<Record<Question, Result>>, sheet: Sheet): { question: Question; text: string } | null {
  const order: Question[] = ['quiescent', 'swing', 'impedance', 'waveform'];
  const short = order.filter((question) => verdictOf(answers[question], sheet).mark === 'fails');
  for (const question of short) {
    const answer = answers[question];
    if (answer === undefined || isUnanswered(answer)) continue;
    if (answer.question === 'swing') {
      const tight = tighter(answer);
      if (tight !== null) return { question, text: limitSentence(tight.limit, tight.side, surroundingsOf(answer, sheet)) };
    }
    if (answer.sentences[0] !== undefined) return { question, text: answer.sentences.slice(0, 2).join(' ') };
  }
  for (const question of ['waveform', 'swing', 'quiescent', 'impedance'] as Question[]) {
    const answer = answers[question];
    if (answer !== undefined && !isUnanswered(answer) && answer.sentences[0] !== undefined) return { question, text: answer.sentences[0] };
  }
  return null;
}
