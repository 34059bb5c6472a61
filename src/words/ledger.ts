/** Why a rule of thumb and the computed figure part, in words: the reason of a ledger's line from what it leaves out. */
import type { LedgerEntry, Omitted } from '../answers/types.ts';
import type { OmittedKind } from '../explain/pencil/line.ts';
import { UNITS } from '../quantity/index.ts';
import { say, saySize, type Unit } from './numbers.ts';

const unitOf = (unit: string): Unit => (unit in UNITS ? (unit as Unit) : 'number');

/** What was left out, by name and by the figures told with it: `told` are those of the line's data, in their order. */
const WORDS: Record<OmittedKind, (told: string[]) => string> = {
  'base-current': ([amperes, ohms]) => `the base current: ${amperes} in ${ohms}`,
  'base-emitter-voltage': ([volts]) => `that V_BE is ${volts} here`,
  'load-current': ([amperes, ohms]) => `the direct current in the load: ${amperes}${ohms === undefined ? '' : ` in ${ohms}`}`,
  'next-base-current': ([amperes, ohms]) => `the base current of what follows: ${amperes} in ${ohms}`,
  'high-injection': ([knee]) =>
    knee === undefined
      ? 'high injection: r_e is more and beta less than it takes them'
      : `high injection: towards the knee at ${knee} the current grows more slowly`,
  ideality: ([n]) => `the ideality of the junction, ${n}`,
  'bulk-resistance': () => 'the resistances inside the transistor, of emitter and base',
  'base-resistor': () => 'the resistors before the bases',
  reactance: ([ohms]) => `the capacitive reactance, ${ohms} here`,
  'other-corner': ([hertz]) => `the other corner, at ${hertz}`,
  'low-current-drift': ([volts]) => `that a junction drifts the more the lower its V_BE, ${volts} here`,
  'charged-capacitor': ([volts]) => `that the coupling capacitor charges by ${volts} more and so brings the clip nearer to the middle`,
  'corner-of-output': ([hertz]) => `the capacitor before the output, whose corner is at ${hertz}`,
  'warm-junction': ([celsius]) => `the warmth of the junction, ${celsius}`,
  'collector-capacitance': ([farads]) => `the capacitance of base and collector, ${farads}`,
  'base-resistance': ([ohms]) => `the resistance of the base inside the transistor, ${ohms}`,
  'wave-shape': ([volts, share]) => `the shape of the wave: its fundamental is ${volts}, its distortion ${share}`,
};

function omittedWords(omitted: Omitted, unit: Unit): string {
  const told = omitted.figures.map((figure) => saySize(figure.value, figure.unit));
  const said = WORDS[omitted.what](told);
  const worth = saySize(omitted.value, unit);
  // Where the figure that tells of the term is the term itself, it is not said twice.
  return told.includes(worth) ? said : `${said}, which ${omitted.value < 0 ? 'takes' : 'adds'} ${worth}`;
}

/**
 * The reason of a line: "The rule leaves out the base current: 44 µA in 23 kΩ, which takes 1 V." Undefined where rule
 * and figure agree and nothing is to be minded. Every figure said is one of the line's.
 */
export function ledgerReason(entry: LedgerEntry): string | undefined {
  const said: string[] = [];
  const unit = unitOf(entry.unit);
  if (entry.omitted?.length === 0) said.push('No single term that the rule leaves out explains the difference.');
  else if (entry.omitted) said.push(`The rule leaves out ${entry.omitted.map((o) => omittedWords(o, unit)).join(', and ')}.`);
  if (entry.remark)
    said.push(
      `The corners of ${entry.remark.parts.join(' and ')} lie within a factor of ${say(entry.remark.factor, 'number')}: they do not simply combine.`,
    );
  return said.length > 0 ? said.join(' ') : undefined;
}

/** The ledger with its reasons. */
export function spokenLedger(ledger: readonly LedgerEntry[]): LedgerEntry[] {
  return ledger.map((entry) => {
    const reason = ledgerReason(entry) ?? entry.reason;
    return reason === undefined ? entry : { ...entry, reason };
  });
}
