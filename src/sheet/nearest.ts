/** Names: which are legal, and which known one a misspelt name was meant to be. */

/** Letters, digits, `_`, `+`, `-`; no dot, as paths are parted by dots. */
const NAME = /^[\p{L}\p{M}\p{N}_+-]+$/u;
const LONGEST_NAME = 80;

/** Whether `text` may name a part, device, load or heat sink. `__proto__` is refused: records could not hold it. */
export function isName(text: string): boolean {
  return NAME.test(text) && text.length <= LONGEST_NAME && text !== '__proto__';
}

/** Whether `text` may name a node: a name with at least one letter. */
export function isNodeName(text: string): boolean {
  return isName(text) && /\p{L}/u.test(text);
}

/**
 * Edits that turn `a` into `b`: insertions, deletions, replacements and swaps of neighbours, each counted once
 * (the restricted distance of Damerau, Communications of the ACM 7, 1964).
 */
export function editDistance(a: string, b: string): number {
  const width = b.length + 1;
  let beforeLast: number[] = [];
  let last = Array.from({ length: width }, (_, column) => column);
  for (let row = 1; row <= a.length; row += 1) {
    const current = [row];
    for (let column = 1; column < width; column += 1) {
      const same = a[row - 1] === b[column - 1];
      let best = Math.min(last[column] + 1, current[column - 1] + 1, last[column - 1] + (same ? 0 : 1));
      if (row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1]) {
        best = Math.min(best, beforeLast[column - 2] + 1);
      }
      current.push(best);
    }
    beforeLast = last;
    last = current;
  }
  return last[width - 1];
}

/**
 * The known name nearest to `name`, or null where none is near enough to be meant (over a third of it, and over one
 * letter, would have to change). Names that differ in case alone are nearest of all.
 */
export function nearestName(name: string, known: Iterable<string>): string | null {
  if (name.length > LONGEST_NAME) return null;
  let best: string | null = null;
  let bestDistance = Math.max(1, Math.floor(name.length / 3)) + 0.5;
  for (const candidate of known) {
    if (candidate === name || Math.abs(candidate.length - name.length) > bestDistance) continue;
    const folded = candidate.toLowerCase() === name.toLowerCase();
    // Of two equally near the one with the same beginning: Q2 means Q1 rather than R2.
    const distance = folded ? 0 : editDistance(name, candidate) + (candidate[0] === name[0] ? 0 : 0.25);
    if (distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

/** "did you mean `frequency`?" as the end of a sentence, or the known names where none is near. */
export function suggestion(name: string, known: readonly string[]): string {
  const nearest = nearestName(name, known);
  if (nearest !== null) return `the nearest known one is "${nearest}"`;
  if (known.length === 0) return 'there are none here';
  const shown = known.slice(0, 12).join(', ');
  return `known here: ${shown}${known.length > 12 ? ', ...' : ''}`;
}
