/** Waveforms in words: what comes out, where it departs from the drive, and why. */
import { sideOf, worstStretch } from '../answers/told.ts';
import type { Region, Stretch, WaveformAnswer } from '../answers/types.ts';
import { type CauseContext, causeSentence, demandPhrase, eventPhrase } from './causes.ts';
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
  return distortion.relativeToFundamental === null ? null : `${say(distortion.relativeToFundamental, 'share')} distortion`;
}

/**
 * One to three sentences: size, where it is flat and for how much of the period, distortion; the reason; what the sheet
 * asks for.
 */
export function waveformSentences(answer: WaveformAnswer, surroundings: Surroundings): string[] {
  const measures = answer.measures[surroundings.output];
  const stretch = worstStretch(answer.stretches);
  const distortion = distortionPhrase(answer);
  const said: string[] = [];

  if (!answer.settled) said.push(...fromRestSentences(answer, surroundings));
  else if (measures !== undefined) {
    const pieces = [`${say(measures.peakToPeak, 'V')} peak to peak`];
    if (stretch?.cause?.level !== undefined && answer.period !== null) {
      pieces.push(`flat at ${say(stretch.cause.level, 'V')} ${shareOfPeriod((stretch.to - stretch.from) / answer.period)}`);
    } else if (stretch !== null && answer.period !== null) {
      pieces.push(`with ${stretch.part} ${stateWord(stretch.state)} ${shareOfPeriod((stretch.to - stretch.from) / answer.period)}`);
    }
    said.push(sentence(pieces.join(', ') + (distortion === null ? '' : `: ${distortion}`)));
  }
  if (stretch?.cause) {
    const demand = demandPhrase(stretch.cause, contextOf(stretch, answer, surroundings));
    const hedge = stretch.cause.proven ? '' : 'likely ';
    said.push(sentence(demand === null ? `${hedge}${eventPhrase(stretch.cause)}` : `${hedge}${eventPhrase(stretch.cause)}: ${demand}`));
  } else if (answer.settled && answer.stretches.length > 0) {
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

function targetSentence(answer: WaveformAnswer, surroundings: Surroundings): string | null {
  if (!answer.settled || surroundings.sheet === null) return null;
  const { outputPeakToPeak, distortion } = surroundings.sheet.targets;
  const wants: string[] = [];
  if (outputPeakToPeak?.atLeast !== undefined) wants.push(`${say(outputPeakToPeak.atLeast, 'V')} peak to peak`);
  if (distortion?.atMost !== undefined) wants.push(`at most ${say(distortion.atMost, 'share')} distortion`);
  return wants.length === 0 ? null : `The sheet asks for ${listed(wants)}.`;
}
