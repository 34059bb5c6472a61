/** Causes in words: what happened, what asked for it, and how it is known. Every figure is one of the cause's own. */
import type { Cause, SwingLimit } from '../answers/types.ts';
import { listed, sentence } from './grammar.ts';
import { say, saySize } from './numbers.ts';
import { loadVerb, type Surroundings } from './surroundings.ts';

/** Which way the output was going; directions of the output, whichever way the drive goes. */
export type Side = 'high' | 'low';

export interface CauseContext extends Surroundings {
  /** Absent where the direction is not known: the sentence then names none. */
  side?: Side;
}

/** A share of this and more is blamed beside the largest when it is over half of it (`physics.md`, cause of a limit). */
const BLAMED_ABOVE = 0.1;

/** The parts that are blamed, the largest share first; the cause's own part where shares are not given. */
export function blamed(cause: Cause): string[] {
  const shares = Object.entries(cause.shares).sort((a, b) => b[1] - a[1]);
  if (cause.proven || shares.length < 2) return cause.part === null ? [] : [cause.part];
  const largest = shares[0][1];
  return shares.filter(([, share]) => share >= BLAMED_ABOVE && share > largest / 2).map(([part]) => part);
}

/** What the parts do, without a full stop: "Q1 cuts off". */
export function eventPhrase(cause: Cause): string {
  const parts = blamed(cause);
  const who = parts.length === 0 ? 'no single part' : listed(parts);
  const several = parts.length > 1;
  const verb = (one: string, more: string): string => (several ? more : one);
  switch (cause.event) {
    case 'cuts-off':
      return `${who} ${verb('cuts', 'cut')} off`;
    case 'saturates':
      return `${who} ${verb('saturates', 'saturate')}`;
    case 'breaks-down':
      return `${who} ${verb('breaks', 'break')} down`;
    case 'reverses':
      return `${who} ${verb('conducts', 'conduct')} backwards`;
    case 'turns-on':
      return `${who} ${verb('starts', 'start')} to conduct`;
    case 'fades':
      return `${who} ${verb('fades', 'fade')}: too little current is left in ${several ? 'them' : 'it'} to move the output further`;
    case 'jumps':
      return parts.length === 0 ? 'the output jumps' : `the output jumps where ${who} ${verb('lets', 'let')} go`;
    case 'holds':
      return `${who} ${verb('holds', 'hold')} ${several ? 'their' : 'its'} charge`;
    case 'both-off':
      return parts.length > 1 ? `${who} are both off` : 'neither half of the pair conducts';
    case 'clipped-upstream':
      return `${who} ${verb('has', 'have')} already clipped the signal on its way here`;
  }
}

/**
 * What asked for more than there was: "the phones return 25 mA, R3 can take 7.9 mA" on the way down, "the phones want
 * 25 mA, R3 can give 7.9 mA" on the way up. `demand.part` is the part that would have to carry the current.
 */
export function demandPhrase(cause: Cause, context: CauseContext): string | null {
  const demand = cause.demand;
  if (demand === null) return null;
  const asked = saySize(demand.amperes, 'A');
  const carried = saySize(demand.capacity, 'A');
  if (context.side === 'low') {
    const who = context.load === null ? `${asked} would have to be drawn from ${context.output}` : `${loadVerb(context, 'return')} ${asked}`;
    return `${who}, ${demand.part} can take ${carried}`;
  }
  if (context.side === 'high') {
    const who = context.load === null ? `${context.output} would have to be given ${asked}` : `${loadVerb(context, 'want')} ${asked}`;
    return `${who}, ${demand.part} can give ${carried}`;
  }
  return `${asked} is wanted, ${demand.part} can pass ${carried}`;
}

/** The peak holder's droop: "it loses its level with a time constant of 19 ms; ...". */
function droopPhrase(cause: Cause): string | null {
  const droop = cause.droop;
  if (droop === undefined) return null;
  return `it sags by ${saySize(droop.observed, 'V')} with a time constant of ${say(droop.timeConstant, 's')}, by that alone ${saySize(droop.predicted, 'V')}`;
}

/** The cause: "Q1 cuts off: the phones return 25 mA, R3 can take 7.9 mA." Likely ones say so, and what is missing. */
export function causeSentence(cause: Cause, context: CauseContext): string {
  const event = eventPhrase(cause);
  const why = [demandPhrase(cause, context), droopPhrase(cause)].filter((phrase) => phrase !== null);
  const joint = event.includes(':') ? '; ' : ': ';
  const said = why.length > 0 ? `${event}${joint}${why.join('; ')}` : event;
  if (cause.proven) return sentence(said);
  const missing = cause.missing === undefined ? '' : `; to prove it, ${cause.missing.replace(/\.$/, '')}`;
  return sentence(`likely, not proven: ${said}${missing}`);
}

function changedPhrase(change: NonNullable<Cause['evidence']>['change'], part: string): string {
  switch (change) {
    case 'lifted':
      return `with ${part} lifted and all else kept`;
    case 'joined':
      return `with ${part} replaced by the few tenths of a volt it then has from collector to emitter`;
    case 'without-breakdown':
      return `with a ${part} that cannot break down`;
    case 'held':
      return `with ${part} held at its voltage`;
  }
}

/**
 * What relief was given. `change` is a key of the explain layer (`current-supplied`, `supply-raised`), or its own words
 * for anything else.
 */
function reliefPhrase(change: string): string {
  switch (change) {
    case 'current-supplied':
      return 'with the missing current supplied from outside';
    case 'supply-raised':
      return 'with the supply a volt further out';
    case 'current-supplied-and-supply-raised':
      return 'with the missing current supplied from outside and the supply a volt further out';
    default:
      return `with ${change.replace(/\.$/, '')}`;
  }
}

/** How the cause is known: two sentences, one for each side of the proof; null where there is no evidence. */
export function evidenceSentence(cause: Cause, context: CauseContext): string | null {
  const evidence = cause.evidence;
  if (evidence === null) return null;
  const said: string[] = [];
  const changed = changedPhrase(evidence.change, evidence.part);
  if (evidence.rest !== null) {
    const place = `at ${say(evidence.rest.drive, 'V')} from the generator ${context.output} stands at ${say(evidence.rest.output, 'V')}`;
    said.push(`${place}; ${changed}, at ${say(evidence.rest.changed, 'V')}`);
  } else if (evidence.volts !== null) {
    said.push(`${changed}, ${context.output} stands at ${say(evidence.volts, 'V')}`);
  }
  if (evidence.relief !== null) {
    const relief = reliefPhrase(evidence.relief.change);
    said.push(
      evidence.relief.volts === null ? `${relief} the limit is gone` : `${relief} the limit moves to ${say(evidence.relief.volts, 'V')}`,
    );
  }
  return said.length === 0 ? null : said.map(sentence).join(' ');
}

/**
 * The headline of a limit: "Flat at −0.252 V: the phones return 25 mA, R3 can take 7.9 mA." What a person who asks
 * "what stops it?" wants to read first.
 */
export function limitSentence(limit: SwingLimit, side: Side, surroundings: Surroundings): string {
  const demand = demandPhrase(limit.cause, { ...surroundings, side });
  const why = demand ?? eventPhrase(limit.cause);
  const hedge = limit.cause.proven ? '' : 'likely, ';
  const place = limit.flat === null ? `Bends at ${say(limit.volts, 'V')}` : `Flat at ${say(limit.flat.volts, 'V')}`;
  return sentence(`${place}: ${hedge}${why}`);
}
