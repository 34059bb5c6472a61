/** What would help, in one line: "With R3 at 150 Ω and the divider stiffened to match (R1 8k2, R2 12k) the flat moves to −1.2 V." */
import type { Help, HelpChange } from '../answers/types.ts';
import { formatQuantity } from '../quantity/index.ts';
import { listed, sentence } from './grammar.ts';
import { say } from './numbers.ts';

function nameOf({ path }: HelpChange): string {
  return path.split('.')[1];
}

/** A resistance as it is marked (IEC 60062): `8k2`, `150R`, `12k`. */
export function markOf(ohms: number): string {
  const [digits, unit] = formatQuantity(ohms, 'Ω', { digits: 3, trim: true }).split(' ');
  const letter = unit === 'Ω' ? 'R' : unit.slice(0, -1);
  return digits.includes('.') ? digits.replace('.', letter) : `${digits}${letter}`;
}

function settingPhrase({ path, value }: HelpChange): string {
  return say(value, path.startsWith('supplies.') ? 'V' : 'Ω');
}

/** The parts first named, by value: "R1 and R2 at 150 Ω". */
function foremostPhrase(changes: readonly HelpChange[]): string {
  const byValue = new Map<string, string[]>();
  for (const change of changes) {
    const value = settingPhrase(change);
    byValue.set(value, [...(byValue.get(value) ?? []), nameOf(change)]);
  }
  return listed([...byValue].map(([value, names]) => `${listed(names)} at ${value}`));
}

/** The sentence of a help: what to set, and where that moves the flat or the limit. */
export function helpSentence(help: Help): string {
  const divider = help.verbs.filter((change) => change.divider);
  const marks = divider.map((change) => `${nameOf(change)}\u00a0${markOf(change.value)}`).join(', ');
  const also = divider.length === 0 ? '' : ` and the divider stiffened to match (${marks})`;
  const foremost = foremostPhrase(help.verbs.filter((change) => !change.divider));
  const short = help.enough ? '' : '; that is still short of what is asked for';
  return sentence(`with ${foremost}${also} the ${help.figure} moves to ${say(help.after, 'V')}${short}`);
}
