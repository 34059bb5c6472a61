/** Why a rule of thumb and the computed figure part, in words: the reason of a ledger's line from what it leaves out. */
import type { LedgerEntry, Omitted } from '../answers/types.ts';
import type { OmittedKind } from '../explain/pencil/line.ts';
import { UNITS } from '../quantity/index.ts';
import { say, saySize, type Unit } from './numbers.ts';

const unitOf = (unit: string): Unit => (unit in UNITS ? (unit as Unit) : 'number');

/** What was left out, by name and by the figures told with it: `told` are those of the line's data, in their order. */
const WORDS: Record<OmittedKind, (told: string[]) => string> = {
  'base-current': (t) => `the base current: ${t[0]} in ${t[1]}`,
  'base-emitter-voltage': (t) => `that V_BE is ${t[0]} here`,
  'bias-resistor': (t) => `the bias network, ${t[0]}`,
  'load-current': (t) => `the direct current in the load, ${t[0]}`,
  'next-base-current': (t) => `the base current of what follows: ${t[0]} in ${t[1]}`,
  'high-injection': (t) =>
    t.length > 0
      ? `high injection: beyond the knee at ${t[0]} the current grows more slowly`
      : 'high injection: r_e is more and beta less than the rule takes them',
  temperature: (t) => `the warmth of the junction, ${t[0]}`,
  ideality: (t) => `the ideality of the junction, ${t[0]}`,
  'supply-resistance': (t) => `the resistance of the supply, ${t[0]}`,
  'early-effect': (t) => `the output resistance of the transistor, ${t[0]}`,
  'emitter-resistance': (t) => `r_e, ${t[0]}`,
  'bulk-resistance': () => 'the resistances inside the transistor, of emitter and base',
  'base-resistor': () => 'the resistors before the bases',
  reactance: (t) => `the reactance of the capacitor, ${t[0]} here`,
  'other-corner': (t) => `the other corner, at ${t[0]}`,
  'other-side': () => `the other side of the wave`,
  'source-resistance': (t) => `the resistance of the source, ${t[0]}`,
  'standing-resistor': (t) => `the emitter resistor, ${t[0]}`,
  'charge-shift': (t) => `that the capacitor's charge shifts with the clipped wave, by ${t[0]}`,
  'own-dissipation': (t) => `the heat of the junction itself, ${t[0]}`,
};

function omittedWords(omitted: Omitted, unit: Unit): string {
  const told = omitted.figures.map((figure) => saySize(figure.value, figure.unit));
  const way = omitted.value < 0 ? 'takes' : 'adds';
  return `${WORDS[omitted.what](told)}, which ${way} ${saySize(omitted.value, unit)}`;
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
