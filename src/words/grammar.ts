/** Small grammar: number of nouns, lists, capitals, and shares of a period in words. */

/** `Q1`, `Q1 and Q2`, `Q1, Q2 and Q3`. */
export function listed(items: readonly string[], last: 'and' | 'or' = 'and'): string {
  if (items.length <= 1) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} ${last} ${items[items.length - 1]}`;
}

/** The noun in singular or plural, without the number: `counted(2, 'start')` is `starts`. */
export function counted(count: number, singular: string, plural = `${singular}s`): string {
  return count === 1 ? singular : plural;
}

/** True of names that take a plural verb: phones, headphones, speakers; not glass or bus. */
export function isPlural(name: string): boolean {
  return /[^su]s$/.test(name);
}

/** The third person singular of a verb with its preposition: `returns`, `asks for`. */
export function thirdPerson(verb: string): string {
  return verb.replace(/^\S+/, '$&s');
}

/** The verb that goes with a name: `agree('phones', 'return')` is `return`, `agree('line', 'ask for')` is `asks for`. */
export function agree(name: string, verb: string): string {
  return isPlural(name) ? verb : thirdPerson(verb);
}

/** First letter as a capital; designators and numbers stay as they are. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Sentence from clauses: capital first letter, one full stop. */
export function sentence(text: string): string {
  const trimmed = text.trim();
  return /[.?]$/.test(trimmed) ? capital(trimmed) : `${capital(trimmed)}.`;
}

const SHARES: readonly { below: number; words: string }[] = [
  { below: 0.02, words: 'for a moment of each period' },
  { below: 0.08, words: 'for a small part of each period' },
  { below: 0.17, words: 'for about an eighth of each period' },
  { below: 0.29, words: 'for about a quarter of each period' },
  { below: 0.38, words: 'for about a third of each period' },
  { below: 0.48, words: 'for nearly half of each period' },
  { below: 0.52, words: 'for half of each period' },
  { below: 0.62, words: 'for over half of each period' },
  { below: 0.71, words: 'for about two thirds of each period' },
  { below: 0.85, words: 'for about three quarters of each period' },
  { below: 0.995, words: 'for nearly all of each period' },
];

/** A share from 0 to 1 of the period, in words, so that no figure is said that the answer does not hold. */
export function shareOfPeriod(share: number): string {
  return SHARES.find((entry) => share < entry.below)?.words ?? 'all the time';
}
