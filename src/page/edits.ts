/** Changes of the sheet as its verbs, with the words that name them in the history. */
import { applyVerbs, type ReadResult, type Verb, verbName } from '../sheet/index.ts';
import type { VerbDraft } from './verbs.tsx';

export type Changed = { text: string; name: string } | { problem: string };

/** The sheet's text after a verb, or what was wrong, in words. */
export function changedBy(read: ReadResult | null, verb: Verb, name = verbName(verb)): Changed {
  if (read === null) return { problem: 'Nothing is open yet.' };
  if (read.sheet === null) return { problem: 'The sheet has problems; mend those first, then change it here.' };
  const result = applyVerbs(read.document, [verb]);
  if (result.sheet !== null) return { text: result.document.text, name };
  return { problem: result.problems.map((problem) => problem.sentence).join(' ') };
}

/** A filled-in verb as the sheet's own. */
export function verbOf(draft: VerbDraft, name: string): Verb {
  const value = `${draft.kind}: ${draft.value.trim()}`;
  switch (draft.verb) {
    case 'lift':
    case 'short':
      return { verb: draft.verb, part: draft.part };
    case 'tack':
      return { verb: 'tack', part: `${name}: { ${value}, ${ends(draft)} }` };
    case 'insert':
      return { verb: 'insert', part: `${name}: { ${value}, at: ${draft.part}.${draft.first} }` };
    case 'swap':
      return { verb: 'swap', part: `${draft.part}: { ${value} }` };
  }
}

/** The two nodes of a tacked part by the names that its kind gives them. */
function ends(draft: VerbDraft): string {
  if (draft.kind === 'diode') return `anode: ${draft.first}, cathode: ${draft.second}`;
  if (draft.kind === 'npn' || draft.kind === 'pnp') return `collector: ${draft.first}, base: ${draft.third}, emitter: ${draft.second}`;
  return `from: ${draft.first}, to: ${draft.second}`;
}
