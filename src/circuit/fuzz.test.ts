import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { applyVerbs, readDocument } from '../sheet/index.ts';
import { damaged, FOLLOWER } from '../sheet/testing.ts';
import { checkSheet } from './check.ts';

describe('damaged sheets', () => {
  it('are checked in their connections and changed by verbs without a crash', () => {
    fc.assert(
      fc.property(damaged(FOLLOWER), fc.string({ maxLength: 20 }), (text, word) => {
        expect(checkSheet(text).problems).toBeInstanceOf(Array);
        const document = readDocument(text);
        for (const verb of ['tack', 'insert', 'swap'] as const)
          expect(applyVerbs(document, [{ verb, part: `R9${word}` }]).problems).toBeInstanceOf(Array);
        expect(
          applyVerbs(document, [
            { verb: 'set', path: `parts.R3.${word}`, value: word },
            { verb: 'lift', part: word },
          ]).problems,
        ).toBeInstanceOf(Array);
      }),
      { seed: 14, numRuns: 40 },
    );
  });
});
