/** Swing in words: how far each way, what stops it, how much of it is clean. */
import type { SwingAnswer, SwingLimit } from '../answers/types.ts';
import { eventPhrase, limitWithCause, type Side } from './causes.ts';
import { sentence } from './grammar.ts';
import { say, saySize } from './numbers.ts';
import type { Surroundings } from './surroundings.ts';

const WAY: Readonly<Record<Side, string>> = { high: 'up', low: 'down' };

/** One room is "only" so much when the other is at least this many times larger. */
const LOPSIDED = 3;

function roomPhrase(side: Side, limit: SwingLimit, other: SwingLimit | null): string {
  const only = other !== null && limit.room * LOPSIDED < other.room ? 'only ' : '';
  return `${WAY[side]} by ${only}${saySize(limit.room, 'V')}`;
}

/** "Q1 saturates", without what explains it. */
function shortEvent(limit: SwingLimit): string {
  const [event] = eventPhrase(limit.cause).split(':');
  return `${limit.cause.proven ? '' : 'likely '}${event}`;
}

function sameCause(a: SwingLimit, b: SwingLimit): boolean {
  return a.cause.part === b.cause.part && a.cause.event === b.cause.event;
}

function cleanSentence(answer: SwingAnswer, surroundings: Surroundings): string | null {
  const clean = answer.clean;
  if (clean === null) return null;
  const wanted = surroundings.sheet?.targets.outputPeakToPeak?.atLeast;
  const asks = wanted === undefined ? '' : `; the sheet asks for ${say(wanted, 'V')}`;
  return sentence(
    `within ${say(clean.distortion, 'share')} distortion it gives ${say(clean.peakToPeak, 'V')} peak to peak, from ${say(clean.drive, 'V')} of drive${asks}`,
  );
}

interface Stop {
  side: Side;
  limit: SwingLimit;
}

/** The rooms, the tighter first, whose cause is told before; with the other side's cause. */
function roomsSentence(first: Stop, second: Stop | undefined): string {
  if (second === undefined) {
    const open = first.side === 'low' ? 'up' : 'down';
    return sentence(`it goes ${roomPhrase(first.side, first.limit, null)}; ${open}, no limit was found in the range looked at`);
  }
  const event = sameCause(first.limit, second.limit) ? `${shortEvent(second.limit)} too` : shortEvent(second.limit);
  const [near, far] = [first, second].map(({ limit }) => saySize(limit.room, 'V'));
  if (near === far) return sentence(`it goes ${near} either way; on the way ${WAY[second.side]} ${event}`);
  return sentence(
    `it goes ${roomPhrase(first.side, first.limit, second.limit)} and ${roomPhrase(second.side, second.limit, first.limit)}, where ${event}`,
  );
}

/**
 * Up to five sentences: the dead zone, where there is one; the tighter side's end with its cause; the rooms; ratings that
 * are passed before; what is clean of it.
 */
export function swingSentences(answer: SwingAnswer, surroundings: Surroundings): string[] {
  const { high, low } = answer;
  const said: string[] = [];
  if (answer.deadZone !== null) {
    const { from, to } = answer.deadZone;
    said.push(`Nothing comes through between ${say(from, 'V')} and ${say(to, 'V')} from the generator: a dead zone.`);
  }
  const stops: Stop[] = [];
  if (low !== null) stops.push({ side: 'low', limit: low });
  if (high !== null) stops.push({ side: 'high', limit: high });
  stops.sort((a, b) => a.limit.room - b.limit.room);
  const [first, second] = stops;
  if (first === undefined) {
    said.push(
      answer.conducts?.[0] === undefined
        ? 'No limit was found either way in the range looked at.'
        : `Hardly anything comes through about rest; the output follows only from ${say(answer.conducts[0].from, 'V')} to ${say(answer.conducts[0].to, 'V')} from the generator.`,
    );
  } else {
    said.push(limitWithCause(first.limit, first.side, surroundings), roomsSentence(first, second));
  }
  for (const { side, limit } of stops) {
    if (limit.rating !== undefined) {
      said.push(
        `Before that, at ${say(limit.rating.volts, 'V')} on the way ${WAY[side]}, ${limit.rating.part} passes its rating for ${ratingNoun(limit.rating.rating)}.`,
      );
    }
  }
  const clean = cleanSentence(answer, surroundings);
  if (clean !== null) said.push(clean);
  return said;
}

const RATINGS: Readonly<Record<string, string>> = {
  collectorEmitterVoltage: 'collector-emitter voltage',
  collectorBaseVoltage: 'collector-base voltage',
  emitterBaseVoltage: 'emitter-base voltage',
  collectorCurrent: 'collector current',
  dissipation: 'dissipation',
  junctionTemperature: 'junction temperature',
  secondBreakdown: 'second breakdown',
  power: 'dissipation',
  current: 'current',
  reverseVoltage: 'reverse voltage',
};

/** A rating's key as a noun. */
export function ratingNoun(key: string): string {
  return RATINGS[key] ?? key;
}
