/** Waveforms in words: what comes out, where it departs from the drive, and why. */
import { sideOf, worstStretch } from '../answers/told.ts';
import type { Region, Stretch, WaveformAnswer } from '../answers/types.ts';
import { type CauseContext, causeSentence, droopPhrase, eventWithDemand } from './causes.ts';
import { listed, sentence, shareOfPeriod } from './grammar.ts';
import { say, sayRange } from './numbers.ts';
import type { Surroundings } from './surroundings.ts';

const STATE: Readonly<Record<Region, string>> = {
  active: 'active',
  saturated: 'saturated',
  off: 'off',
  reversed: 'reversed',
  breakdown: 'in breakdown',
};

/** A device's state as a word: "off", "in breakdown". */
export function stateWord(state: Region): string {
  return STATE[state];
}

function contextOf(stretch: Pick<Stretch, 'from' | 'to'>, answer: WaveformAnswer, surroundings: Surroundings): CauseContext {
  return { ...surroundings, side: sideOf(stretch, answer, surroundings.output) };
}

/** "Q1 off, 1.07–2.31 ms": the label over a stretch. */
export function stretchLabel(stretch: Stretch): string {
  return `${stretch.part} ${stateWord(stretch.state)}, ${sayRange(stretch.from, stretch.to, 's')}`;
}

/** One stretch: "Q1 is off from 1.07 ms to 2.31 ms: the phones return 25 mA, R3 can take 7.9 mA." */
export function stretchSentence(stretch: Stretch, answer: WaveformAnswer, surroundings: Surroundings): string {
  const span = `${stretch.part} is ${stateWord(stretch.state)} from ${say(stretch.from, 's')} to ${say(stretch.to, 's')}`;
  if (stretch.cause === null) return sentence(`${span}; the output does not show it`);
  return `${sentence(span)} ${causeSentence(stretch.cause, contextOf(stretch, answer, surroundings))}`;
}

function distortionPhrase(answer: WaveformAnswer): string | null {
  const distortion = answer.spectrum?.distortion;
  if (distortion === undefined) return null;
  if (typeof distortion.departure === 'number') return `${say(distortion.departure, 'share')} away from what a straight stage would give`;
  return distortion.relativeToFundamental === null ? null : `with ${say(distortion.relativeToFundamental, 'share')} distortion`;
}

/** The cause of the stretch that the output shows most: "Flat at −0.25 V for nearly half of each period, where Q1 cuts off: ...". */
function leadSentence(stretch: Stretch, answer: WaveformAnswer, surroundings: Surroundings): string | null {
  const { cause } = stretch;
  if (cause === null) return null;
  const context = contextOf(stretch, answer, surroundings);
  // A capacitor's level is none that is flat: how far it sags belongs to it.
  const droop = cause.event === 'holds' ? droopPhrase(cause) : null;
  const why = `${cause.proven ? '' : 'likely '}${eventWithDemand(cause, context)}${droop === null ? '' : `: ${droop}`}`;
  const share = answer.settled && answer.period !== null ? shareOfPeriod((stretch.to - stretch.from) / answer.period) : null;
  if (cause.level !== undefined) {
    const place = cause.event === 'holds' ? 'near' : 'flat at';
    return sentence(`${place} ${say(cause.level, 'V')}${share === null ? '' : ` ${share}`}, where ${why}`);
  }
  return sentence(share === null ? why : `${share} ${why}`);
}

/**
 * One to four sentences: the cause of what is odd, where something is; size and distortion; what the sheet asks for and
 * whether that is met.
 */
export function waveformSentences(answer: WaveformAnswer, surroundings: Surroundings): string[] {
  const measures = answer.measures[surroundings.output];
  const stretch = worstStretch(answer.stretches);
  const distortion = distortionPhrase(answer);
  const said: string[] = [];
  const lead = stretch && leadSentence(stretch, answer, surroundings);
  if (lead) said.push(lead);
  if (!answer.settled) said.push(...fromRestSentences(answer, surroundings));
  else if (measures !== undefined)
    said.push(`${say(measures.peakToPeak, 'V')} peak to peak comes out${distortion === null ? '' : `, ${distortion}`}.`);
  if (!lead && answer.settled && answer.stretches.length > 0) {
    const parts = [...new Set(answer.stretches.map((s) => s.part))];
    said.push(sentence(`${listed(parts)} ${parts.length === 1 ? 'rests' : 'rest'} for part of the period; the output does not show it`));
  }
  const asked = targetSentence(answer, surroundings);
  if (asked !== null) said.push(asked);
  return said;
}

function fromRestSentences(answer: WaveformAnswer, surroundings: Surroundings): string[] {
  const measures = answer.measures[surroundings.output];
  if (measures === undefined) return [];
  const span = answer.duration === undefined ? '' : ` in the first ${say(answer.duration, 's')}`;
  return [`From switch-on, ${surroundings.output} moves between ${say(measures.minimum, 'V')} and ${say(measures.maximum, 'V')}${span}.`];
}

/** What the sheet asks for, and whether the waveform gives it. */
function targetSentence(answer: WaveformAnswer, surroundings: Surroundings): string | null {
  if (!answer.settled || surroundings.sheet === null) return null;
  const { outputPeakToPeak, distortion } = surroundings.sheet.targets;
  const figures = answer.spectrum?.distortion;
  const distorted = typeof figures?.departure === 'number' ? figures.departure : figures?.relativeToFundamental;
  const size = answer.measures[surroundings.output]?.peakToPeak;
  const wants: { words: string; met: boolean }[] = [];
  if (outputPeakToPeak?.atLeast !== undefined)
    wants.push({
      words: `${say(outputPeakToPeak.atLeast, 'V')} peak to peak`,
      met: size !== undefined && size >= outputPeakToPeak.atLeast,
    });
  if (distortion?.atMost !== undefined)
    wants.push({
      words: `at most ${say(distortion.atMost, 'share')} distortion`,
      met: typeof distorted === 'number' && distorted <= distortion.atMost,
    });
  if (wants.length === 0) return null;
  return `The sheet asks for ${listed(wants.map(({ words }) => words))}: ${metPhrase(wants.map(({ met }) => met))}.`;
}

function metPhrase(met: readonly boolean[]): string {
  if (met.length === 1) return met[0] ? 'met' : 'not met';
  if (met.every((one) => one)) return 'both met';
  return met.some((one) => one) ? `the ${met[0] ? 'first' : 'second'} met, the ${met[0] ? 'second' : 'first'} not` : 'neither met';
}
