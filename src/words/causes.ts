/** Causes in words: what happened, what asked for it, and how it is known. Every figure is one of the cause's own. */
import type { Side } from '../answers/told.ts';
import type { Cause, Evidence, SwingLimit } from '../answers/types.ts';
import { GROUND } from '../sheet/types.ts';
import { listed, sentence, thirdPerson } from './grammar.ts';
import { say, saySize } from './numbers.ts';
import { leadsToOutput, loadVerb, type Surroundings, shareATail, theLoad } from './surroundings.ts';

export type { Side } from '../answers/told.ts';

/** A demand up to this share of what there is is told as the brink: what would be asked beyond it. */
const ALIKE = 1.03;

export interface CauseContext extends Surroundings {
  /** Absent where the direction is not known: the sentence then names none. */
  side?: Side;
}

/** The parts that are blamed, the first one foremost; none where no device is. */
export function blamed(cause: Pick<Cause, 'part' | 'second'>): string[] {
  return [cause.part, cause.second].filter((part): part is string => typeof part === 'string');
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
      return parts.length > 1 ? `${listed([...parts].sort())} are both off` : 'neither half of the pair conducts';
    case 'clipped-upstream':
      return `${who} ${verb('has', 'have')} already clipped the signal on its way here`;
  }
}

/** Verbs of a current that must be taken out of a node, given to it, or of which the way is not known. */
const VERBS = {
  take: { load: 'return', part: 'bring', can: 'take' },
  give: { load: 'want', part: 'draw', can: 'give' },
  unknown: { load: 'ask for', part: 'ask for', can: 'pass' },
} as const;

/** Which way: told by the demand, else by the output's side where its own current is meant. */
function verbsOf(demand: NonNullable<Cause['demand']>, context: CauseContext): (typeof VERBS)[keyof typeof VERBS] {
  if (demand.direction) return VERBS[demand.direction];
  const outer = demand.by === context.load || leadsToOutput(context, demand.by);
  return outer && context.side ? VERBS[context.side === 'low' ? 'take' : 'give'] : VERBS.unknown;
}

/** What the explain layer calls the generator's branch. */
const GENERATOR = 'drive';

function carrierName(part: string, context: CauseContext): string {
  return part === context.load ? theLoad(context) : part === GENERATOR ? 'the generator' : part;
}

/** A resistor to a supply or ground that is said to ask: where the node ought to go, nothing could lead it. Nobody's story. */
function isPull({ sheet }: CauseContext, name: string): boolean {
  const part = sheet?.parts.find((p) => p.name === name);
  if (!sheet || part?.kind !== 'resistor') return false;
  const fixed = new Set([GROUND, ...sheet.supplies.map((supply) => supply.node)]);
  return fixed.has(part.from) || fixed.has(part.to);
}

/**
 * What asked for more than there was: "the phones return 25 mA, R3 can take 7.9 mA" on the way down, "the phones want
 * 25 mA, R3 can give 7.9 mA" on the way up. `demand.part` is the part that would have to carry the current, `demand.by`
 * who asks for it. Where the way of the current is not known the words name none. A saturated device asks for more
 * itself; one that starts to conduct lacks nothing.
 */
export function demandPhrase(cause: Cause, context: CauseContext): string | null {
  const { demand } = cause;
  if (demand === null || cause.event === 'turns-on') return null;
  const asked = saySize(demand.amperes, 'A');
  const carried = saySize(demand.capacity, 'A');
  const byLoad = demand.by === context.load;
  if (demand.by === demand.part) {
    if (cause.event !== 'saturates') {
      // The demand layer names the asker itself where no part could carry anything.
      return `going on would take ${asked} through ${carrierName(demand.by, context)}, and nothing can carry that`;
    }
    // What reads the same on both sides of the comma explains nothing.
    return asked === carried ? null : `${demand.part}’s base current calls for ${asked}, the circuit lets only ${carried} through`;
  }
  if (isPull(context, demand.by)) return null;
  if (Math.abs(demand.amperes) <= ALIKE * Math.abs(demand.capacity)) return brinkPhrase(cause, demand, carried, context);
  if (cause.event === 'fades' && shareATail(context, cause.part, demand.by)) return tailPhrase(demand, carried);
  const verbs = verbsOf(demand, context);
  const who = byLoad ? loadVerb(context, verbs.load) : `${carrierName(demand.by, context)} ${thirdPerson(verbs.part)}`;
  return `${who} ${asked}, ${carrierName(demand.part, context)} can ${verbs.can} ${carried}`;
}

/** Of a differential pair one half fades because the other has taken the whole of what their common emitters stand on. */
function tailPhrase(demand: NonNullable<Cause['demand']>, carried: string): string {
  return `by then ${demand.by} has nearly all of the ${carried} that ${demand.part} passes`;
}

/**
 * Asked is no more than there is: the limit lies beyond the present drive, and the cause is what would come after it.
 * "beyond that the desk would return more than the 12.5 mA Q2 can take".
 */
function brinkPhrase(cause: Cause, demand: NonNullable<Cause['demand']>, carried: string, context: CauseContext): string {
  if (cause.event === 'fades' && shareATail(context, cause.part, demand.by)) return tailPhrase(demand, carried);
  const verbs = verbsOf(demand, context);
  const asks = demand.by === context.load ? verbs.load : verbs.part;
  return `beyond that ${carrierName(demand.by, context)} would ${asks} more than the ${carried} ${carrierName(demand.part, context)} can ${verbs.can}`;
}

/** A held level's droop: "the level sags by 1.61 mV, as its time constant of 157 ms has it". */
export function droopPhrase(cause: Cause): string | null {
  const droop = cause.droop;
  if (droop === undefined) return null;
  const [observed, predicted] = [saySize(droop.observed, 'V'), saySize(droop.predicted, 'V')];
  if (predicted === saySize(0, 'V')) return null;
  const constant = `time constant of ${say(droop.timeConstant, 's')}`;
  if (observed === predicted) return `the level sags by ${observed}, as its ${constant} has it`;
  return `the level sags by ${observed}, by its ${constant} alone it would be ${predicted}`;
}

const MISSING: Readonly<Record<NonNullable<Cause['missing']>, string>> = {
  shared: 'two devices share it, and neither alone explains it',
  'no-state': 'no device changes its state there',
  disagrees: 'the output with that one change differs from the output observed',
  'no-relief': 'supplying what is lacking does not move the limit',
};

/** What happens, then what asked for it; after a phrase that has a colon of its own, a semicolon. */
export function eventWithDemand(cause: Cause, context: CauseContext): string {
  const event = eventPhrase(cause);
  const demand = demandPhrase(cause, context);
  return demand === null ? event : `${event}${event.includes(':') ? '; ' : ': '}${demand}`;
}

/** The cause: "Q1 cuts off: the phones return 25 mA, R3 can take 7.9 mA." A likely one says so, and what speaks against it. */
export function causeSentence(cause: Cause, context: CauseContext): string {
  const event = eventPhrase(cause);
  const why = [demandPhrase(cause, context), droopPhrase(cause)].filter((phrase) => phrase !== null);
  const joint = event.includes(':') ? '; ' : ': ';
  const said = sentence(why.length > 0 ? `${event}${joint}${why.join('; ')}` : event);
  if (cause.proven) return said;
  return `${said} ${cause.missing === undefined ? 'Likely, not proven.' : sentence(`Likely, not proven: ${MISSING[cause.missing]}`)}`;
}

/** A diode by its designator (IEC 81346 letter for it in the trade's drawings): it has no collector to name. */
const endsOf = (part: string): string => (part.startsWith('D') ? 'ends' : 'collector and emitter');

function changedPhrase(change: Evidence['change'], part: string): string {
  switch (change) {
    case 'lifted':
      return `with ${part} lifted and all else kept`;
    case 'joined':
      return `with ${part}’s ${endsOf(part)} joined through the voltage they then have`;
    case 'without-breakdown':
      return `with a ${part} that cannot break down`;
    case 'held':
      return `with ${part} held at its voltage`;
  }
}

const RAISED = '-raised';

/** What relief was given, by the explain layer's key: `current-supplied`, `lifted`, `without-breakdown`, `vcc-raised`. */
function reliefPhrase(evidence: Evidence, relief: NonNullable<Evidence['relief']>): string {
  if (relief.change === 'current-supplied') return 'with the missing current supplied from outside';
  if (relief.change.endsWith(RAISED)) return `with ${relief.change.slice(0, -RAISED.length)} a volt further from ground`;
  if (relief.change === 'lifted' || relief.change === 'without-breakdown') return changedPhrase(relief.change, evidence.part);
  return `with ${relief.change}`;
}

/** How the cause is known: two sentences, one for each side of the proof; null where there is no evidence. */
export function evidenceSentence(cause: Cause, context: CauseContext): string | null {
  const evidence = cause.evidence;
  if (evidence === null) return null;
  const said: string[] = [];
  const changed = changedPhrase(evidence.change, evidence.part);
  if (evidence.rest !== null) {
    const place = `at ${say(evidence.rest.drive, 'V')} from the generator, ${context.output} stands at ${say(evidence.rest.output, 'V')}`;
    said.push(`${place}; ${changed}, at ${say(evidence.rest.changed, 'V')}`);
  } else if (evidence.volts !== null) {
    said.push(`${changed}, ${context.output} stands at ${say(evidence.volts, 'V')}`);
  }
  if (evidence.relief !== null) {
    const relief = reliefPhrase(evidence, evidence.relief);
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
  // What a saturated device asks for says nothing without the word.
  const demand = limit.cause.event === 'saturates' ? null : demandPhrase(limit.cause, { ...surroundings, side });
  const why = demand ?? eventPhrase(limit.cause);
  const hedge = limit.cause.proven ? '' : 'likely, ';
  return sentence(`${placePhrase(limit)}: ${hedge}${why}`);
}

/** Where a limit is: "flat at −0.252 V", or where it bends without ever being flat. */
export function placePhrase(limit: SwingLimit): string {
  return limit.flat === null ? `bends at ${say(limit.volts, 'V')}` : `flat at ${say(limit.flat.volts, 'V')}`;
}

/** The limit and its cause in one sentence: "Flat at −0.252 V, where Q1 cuts off: the phones return 25 mA, R3 can take 7.9 mA." */
export function limitWithCause(limit: SwingLimit, side: Side, surroundings: Surroundings): string {
  const why = eventWithDemand(limit.cause, { ...surroundings, side });
  if (!limit.cause.proven) return sentence(`${placePhrase(limit)}; likely ${why}`);
  return sentence(limit.cause.event === 'jumps' ? `${placePhrase(limit)}: ${why}` : `${placePhrase(limit)}, where ${why}`);
}
