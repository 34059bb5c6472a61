/** Swing in words: how far each way, what stops it, how much of it is clean. */
import type { SwingAnswer, SwingLimit } from '../answers/types.ts';
import { demandPhrase, eventPhrase, type Side } from './causes.ts';
import { capital, sentence } from './grammar.ts';
import { say, saySize } from './numbers.ts';
import type { Surroundings } from './surroundings.ts';

const WAY: Readonly<Record<Side, string>> = { high: 'up', low: 'down' };

/** One room is "only" so much when the other is at least this many times larger. */
const LOPSIDED = 3;

function roomPhrase(side: Side, limit: SwingLimit | null, other: SwingLimit | null): string {
  if (limit === null) return `${WAY[side]} without a limit in the range looked at`;
  const only = other !== null && limit.room * LOPSIDED < other.room ? 'only ' : '';
  return `${WAY[side]} by ${only}${saySize(limit.room, 'V')}`;
}

/** "on the way down Q1 cuts off", and what asked for it where the sentence has room for that. */
function stopPhrase(side: Side, limit: SwingLimit, surroundings: Surroundings, withDemand: boolean): string {
  const event = eventPhrase(limit.cause);
  const demand = withDemand ? demandPhrase(limit.cause, { ...surroundings, side }) : null;
  const said = `on the way ${WAY[side]} ${limit.cause.proven ? '' : 'likely '}${event}`;
  return demand === null ? said : `${said}: ${demand}`;
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

/**
 * One to four sentences: rooms; the tighter side's cause, then the other's; the dead zone, where there is one; what is
 * clean of it.
 */
export function swingSentences(answer: SwingAnswer, surroundings: Surroundings): string[] {
  const { high, low } = answer;
  const said: string[] = [];
  if (high === null && low === null && answer.conducts === null) {
    said.push('No limit was found either way in the range looked at.');
  } else {
    said.push(sentence(`${roomPhrase('high', high, low)}, ${roomPhrase('low', low, high)}`));
  }
  if (answer.deadZone !== null) {
    const { from, to } = answer.deadZone;
    said.push(`Nothing comes through between ${say(from, 'V')} and ${say(to, 'V')} from the generator: a dead zone.`);
  }
  const stops: { side: Side; limit: SwingLimit }[] = [];
  if (low !== null) stops.push({ side: 'low', limit: low });
  if (high !== null) stops.push({ side: 'high', limit: high });
  stops.sort((a, b) => a.limit.room - b.limit.room);
  if (stops.length === 2 && sameCause(stops[0].limit, stops[1].limit)) {
    said.push(sentence(`both ways ${eventPhrase(stops[0].limit.cause)}`));
  } else if (stops.length > 0) {
    const [first, second] = stops;
    const start = capital(stopPhrase(first.side, first.limit, surroundings, true));
    said.push(sentence(second === undefined ? start : `${start}; ${stopPhrase(second.side, second.limit, surroundings, false)}`));
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
