/** All assumptions, warnings and failures of the answers as sentences: one function per kind of note. */
import { type Attempt, type Failure, isAssumption, type Note, type RatingName } from '../answers/notes.ts';
import { counted, listed, sentence } from './grammar.ts';
import { say, saySize, type Unit } from './numbers.ts';
import { ratingNoun } from './swing.ts';

const RATING_UNIT: Readonly<Record<RatingName, Unit>> = {
  collectorEmitterVoltage: 'V',
  collectorBaseVoltage: 'V',
  emitterBaseVoltage: 'V',
  collectorCurrent: 'A',
  dissipation: 'W',
  junctionTemperature: '°C',
  power: 'W',
  current: 'A',
  reverseVoltage: 'V',
};

const WHEN: Readonly<Record<'rest' | 'period' | 'switch-on', string>> = {
  rest: 'at rest',
  period: 'during the period',
  'switch-on': 'at switch-on',
};

/**
 * One note as one sentence, or two where a caution needs what to do.
 * @param held what another note of the same answer says to be held
 */
export function noteSentence(note: Note, held: ReadonlySet<string> = new Set()): string {
  switch (note.kind) {
    case 'isothermal':
      return `All junctions are held at ${say(note.ambient, '°C')}; self-heating is left out.`;
    case 'junctions-at-ambient':
      return `${listed(note.parts)} ${counted(note.parts.length, 'has', 'have')} no thermal resistance in the sheet, so ${counted(note.parts.length, 'its junction stays', 'their junctions stay')} at ${say(note.ambient, '°C')}.`;
    case 'self-heating':
      return `${counted(note.parts.length, 'The junction', 'The junctions')} of ${listed(note.parts)} ${counted(note.parts.length, 'is', 'are')} as warm as the mean power makes ${counted(note.parts.length, 'it', 'them')} in air of ${say(note.ambient, '°C')}.`;
    case 'junctions-as-at-rest':
      return 'Junctions keep the temperatures they have at rest.';
    case 'starts-discharged':
      return `Everything starts discharged, and junctions stay at ${say(note.ambient, '°C')}.`;
    case 'load-open':
      return 'Nothing is connected to the output.';
    case 'held':
      return `${listed(note.parts)} ${counted(note.parts.length, 'keeps', 'keep')} the charge of rest, as at any frequency well inside the band.`;
    case 'left-out':
      // A loudspeaker has both kinds: its moving part may keep its charge while the coil's inductance is left out.
      return `${listed(note.parts.map((part) => (held.has(part) ? `the other part of ${part}` : part)))} ${counted(note.parts.length, 'is', 'are')} left out: at ${say(note.frequency, 'Hz')} ${counted(note.parts.length, 'it changes', 'they change')} little.`;
    case 'charges-left-out':
      return 'Charge stored in the devices takes no part.';
    case 'nominal-values':
      return 'Every part has exactly the value on the sheet.';
    case 'typical-device':
      return `${listed(note.parts)} ${counted(note.parts.length, 'is', 'are')} a typical ${note.device}; a single specimen differs.`;
    case 'small-signal':
      return 'The signal is so small that no device changes its state.';
    case 'small-signal-bound':
      return `Small-signal figures hold for outputs smaller than ±${say(note.volts, 'V')}.`;
    case 'amplitude-at-node':
      return `The amplitude is meant at ${note.node}: the generator gives ${say(note.peakToPeak, 'V')} peak to peak for it, open circuit.`;
    case 'search':
      return note.solutions === 1
        ? `${note.starts} ${counted(note.starts, 'start')} of the search ended at this one resting point.`
        : `${note.starts} ${counted(note.starts, 'start')} of the search ended at ${note.solutions} resting points.`;
    case 'reversed-capacitor':
      return `Reversed: ${note.part} is polarised and sees ${saySize(note.volts, 'V')} the wrong way round ${WHEN[note.when]}. Turn it round, or use one without polarity.`;
    case 'capacitor-over-rating':
      return `Overvoltage: ${note.part} sees ${saySize(note.volts, 'V')} and is rated ${say(note.rating, 'V')}.`;
    case 'below-corner':
      return `The drive is below the corner that ${note.part} makes: at ${say(note.frequency, 'Hz')} it hardly passes. These figures are those of a higher frequency; waveform has the true ones.`;
    case 'both-directions-same-way':
      return 'Both directions of the drive move the output the same way; the limit met first is given.';
    case 'right-half-plane-pole':
      return note.frequency === null
        ? `This resting point does not hold: left alone the stage runs away from it, by a factor e every ${say(note.timeConstant, 's')}.`
        : `This resting point does not hold: the stage oscillates near ${say(note.frequency, 'Hz')}, growing by a factor e every ${say(note.timeConstant, 's')}.`;
    case 'drive-harmonics':
      return note.departure === null
        ? `The distortion figure counts the ${note.waveform}'s own harmonics.`
        : `The distortion figure counts the ${note.waveform}'s own harmonics; what the stage adds is the departure, ${say(note.departure, 'share')}.`;
    case 'beyond-rating': {
      const unit = RATING_UNIT[note.rating];
      return `Beyond rating: ${note.part} reaches ${saySize(note.value, unit)} of ${ratingNoun(note.rating)}; its limit is ${saySize(note.limit, unit)}.`;
    }
    case 'several-resting-points':
      return note.count === 2
        ? 'The stage has two resting points; this is the one that rising supplies lead to.'
        : `The stage has ${note.count} resting points; this is the one that rising supplies lead to.`;
    case 'hot':
      return `Hot: the junction of ${note.part} reaches ${say(note.temperature, '°C')}. Do not touch it; give it a heat sink.`;
    case 'above-extra-low':
      return `High voltage: ${saySize(note.volts, 'V')} between conductors can injure. Local codes and licensed practice come before anything said here.`;
    case 'direct-current-in-speaker':
      return `Direct current: ${saySize(note.amperes, 'A')} flows through the ${note.load} all the time. It moves the cone off its middle and heats the coil; couple it through a capacitor.`;
    case 'loud':
      return `Loud: the ${note.load} can reach ${say(note.level, 'dB')} of sound pressure level. Turn the drive down before putting them on.`;
    case 'no-limit-found':
      return `On the way ${note.side === 'high' ? 'up' : 'down'} no limit was found as far as ${say(note.drive, 'V')} from the generator.`;
    case 'did-not-converge':
      return `${note.points} of ${note.of} points did not converge and are gaps in the figure.`;
    case 'model-limit':
      return note.what === 'knee'
        ? `${note.part} is driven past the current up to which its model was given; its gain falls there sooner than computed.`
        : `${note.part} is driven past a voltage at which it would break down; its model does not say so.`;
  }
}

/** Notes sorted into the two lists of an answer. */
export function spokenNotes(notes: readonly Note[]): { assumptions: string[]; warnings: string[] } {
  const held = new Set(notes.flatMap((note) => (note.kind === 'held' ? note.parts : [])));
  return {
    assumptions: notes.filter(isAssumption).map((note) => noteSentence(note, held)),
    warnings: notes.filter((note) => !isAssumption(note)).map((note) => noteSentence(note, held)),
  };
}

/** One thing that was tried, as a sentence. */
export function attemptSentence(attempt: Attempt): string {
  switch (attempt.kind) {
    case 'starts':
      return `${attempt.count} ${counted(attempt.count, 'start')} of the search.`;
    case 'ramp':
      return `Raising the supplies from zero in ${attempt.steps} ${counted(attempt.steps, 'step')}.`;
    case 'shooting':
      return `${attempt.iterations} ${counted(attempt.iterations, 'correction')} of the state at the start of the period.`;
    case 'long-run':
      return `Following the stage for ${attempt.periods} ${counted(attempt.periods, 'period')}.`;
    case 'shorted':
      return `With ${attempt.part} shorted there is ${attempt.worked ? 'an answer' : 'none either'}.`;
    case 'lifted':
      return `With ${attempt.part} lifted there is ${attempt.worked ? 'an answer' : 'none either'}.`;
  }
}

const NEEDS: Readonly<Record<'drive' | 'frequency' | 'amplitude', string>> = {
  drive: 'The sheet has no drive; add one, with the node that the generator feeds.',
  frequency: 'The drive has no frequency; add `frequency`, in hertz.',
  amplitude: 'The drive gives no signal; set its waveform and one amplitude.',
};

/** Why there is no answer: the sentence for `error`, and what was tried. */
export function failureWords(failure: Failure): { error: string; tried: string[] } {
  const tried = 'tried' in failure ? failure.tried.map(attemptSentence) : [];
  return { error: sentence(failureSentence(failure)), tried };
}

function failureSentence(failure: Failure): string {
  switch (failure.kind) {
    case 'no-resting-point':
      return `no resting point was found in ${failure.starts} ${counted(failure.starts, 'start')}`;
    case 'floats':
      return failure.nodes.length === 1
        ? `the node ${failure.nodes[0]} floats: no path for direct current leads from it to ground. Tack a resistor from it, or give back what was lifted`
        : `the nodes ${listed(failure.nodes)} float: no path for direct current leads from them to ground. Tack a resistor from one, or give back what was lifted`;
    case 'loops':
      return `${listed(failure.things)} form a loop in which nothing resists, at ${listed(failure.nodes)}, so nothing settles the current in it. Take a short away, or give one of them a resistance`;
    case 'no-drive':
      return NEEDS[failure.needs];
    case 'no-output':
      return 'the sheet names no output; add `output:` with the node that the load hangs on';
    case 'oscillates':
      if (failure.frequency === null) {
        return `the waveform does not settle to the drive's period: what is left over grows ${say(Math.abs(failure.multiplier), 'number')} times with every period`;
      }
      return `it oscillates by itself near ${say(failure.frequency, 'Hz')}, growing ${say(Math.abs(failure.multiplier), 'number')} times with every period of the drive`;
    case 'not-settled':
      return `no settled waveform was found; the best try came back to its start within ${saySize(failure.residual, 'V')}`;
    case 'runs-away':
      return `${listed(failure.parts)} ${counted(failure.parts.length, 'runs', 'run')} away: the warmer ${counted(failure.parts.length, 'it gets', 'they get')}, the more current, and no temperature holds`;
    case 'did-not-converge': {
      if (failure.at === null) return 'the equations did not converge';
      const unit: Unit = failure.at.quantity === 'time' ? 's' : failure.at.quantity === 'drive' ? 'V' : 'Hz';
      const where = failure.at.quantity === 'drive' ? 'from the generator' : failure.at.quantity === 'time' ? 'into the period' : '';
      return `the equations did not converge at ${say(failure.at.value, unit)} ${where}`;
    }
  }
}
