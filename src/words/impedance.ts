/** Impedance in words: what source and load see, over which band. */

import type { Note } from '../answers/notes.ts';
import type { ImpedanceAnswer } from '../answers/types.ts';
import { capital, isPlural } from './grammar.ts';
import { say } from './numbers.ts';
import { type Surroundings, theLoad } from './surroundings.ts';

/** A gain below this is that of a stage that is off. */
const NOTHING = 1e-3;

function bandSentence(answer: ImpedanceAnswer): string {
  const { lowCorner, highCorner } = answer;
  if (lowCorner !== null && highCorner !== null) return `The band runs from ${say(lowCorner, 'Hz')} to ${say(highCorner, 'Hz')}.`;
  if (lowCorner !== null) return `The band runs from ${say(lowCorner, 'Hz')} upward; no upper corner below 10\u00a0GHz.`;
  if (highCorner !== null) return `The band runs from direct voltage to ${say(highCorner, 'Hz')}.`;
  return 'The gain is the same over the whole band looked at.';
}

/**
 * Two or three sentences. Output impedance is a small-signal figure and never offered as drive ability: it carries the
 * bound below which it holds (the `small-signal-bound` note where the answer has one) and points to swing.
 */
export function impedanceSentences(answer: ImpedanceAnswer, surroundings: Surroundings, notes: readonly Note[] = []): string[] {
  const bound = notes.find((note) => note.kind === 'small-signal-bound');
  const holds =
    bound?.kind === 'small-signal-bound'
      ? `for less than ±${say(bound.volts, 'V')}; beyond that see swing`
      : 'for small signals; how far it can drive, see swing';
  const input = answer.inputImpedance.magnitude;
  const output = answer.outputImpedance.magnitude;
  const source = input === null ? 'the source sees an open circuit' : `the source sees ${say(input, 'Ω')}`;
  const fed =
    output === null
      ? `${surroundings.output} has no impedance of its own to speak of`
      : `${theLoad(surroundings)} ${isPlural(surroundings.load ?? 'load') ? 'are' : 'is'} fed from ${say(output, 'Ω')}, ${holds}`;
  const gain = answer.overallGain.magnitude;
  const said = [`${capital(source)} and ${fed}.`];
  const at = `at ${say(answer.frequency, 'Hz')}`;
  if (gain !== null && gain < NOTHING)
    said.push(`Hardly anything comes through at rest: ${at} the gain from the generator is ${say(gain, 'number')}.`);
  else if (gain !== null) said.push(`${capital(at)} the gain from the generator is ${say(gain, 'number')}.`);
  said.push(bandSentence(answer));
  return said;
}
