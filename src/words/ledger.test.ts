import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { LedgerEntry, Omitted } from '../answers/types.ts';
import type { OmittedKind } from '../explain/pencil/line.ts';
import { ledgerReason } from './ledger.ts';
import { saySize } from './numbers.ts';

const KINDS: OmittedKind[] = [
  'base-current',
  'base-emitter-voltage',
  'load-current',
  'next-base-current',
  'high-injection',
  'ideality',
  'bulk-resistance',
  'base-resistor',
  'reactance',
  'other-corner',
  'wave-shape',
  'low-current-drift',
];
const figure = fc.record({
  value: fc.double({ min: 1e-6, max: 1e6, noNaN: true }),
  unit: fc.constantFrom('A' as const, 'Ω' as const, 'V' as const),
});
const omitted: fc.Arbitrary<Omitted> = fc.record({
  what: fc.constantFrom(...KINDS),
  expression: fc.constant('x'),
  withNumbers: fc.constant('x'),
  value: fc.double({ min: -1e3, max: 1e3, noNaN: true }),
  figures: fc.tuple(figure, figure),
});
const entryWith = (terms: Omitted[]): LedgerEntry => ({
  quantity: 'q',
  unit: 'V',
  rule: { expression: 'x', value: 1 },
  computed: 2,
  omitted: terms,
});

describe('the reason of a line of the ledger', () => {
  it('tells the base current in the divider and what it takes', () => {
    const term: Omitted = {
      what: 'base-current',
      expression: '−I_B·(R1∥R2)',
      withNumbers: '',
      value: -1.0,
      figures: [
        { value: 44e-6, unit: 'A' },
        { value: 23e3, unit: 'Ω' },
      ],
    };
    expect(ledgerReason(entryWith([term]))?.replace(/\u00a0/g, ' ')).toBe(
      'The rule leaves out the base current: 44 µA in 23 kΩ, which takes 1 V.',
    );
  });

  it('says so where no single term explains the difference, and is silent where there is none', () => {
    expect(ledgerReason(entryWith([]))).toBe('No single term that the rule leaves out explains the difference.');
    expect(ledgerReason({ quantity: 'q', unit: 'V', rule: { expression: 'x', value: 1 }, computed: 1 })).toBeUndefined();
  });

  it('names no figure that is not in the line', () => {
    fc.assert(
      fc.property(fc.array(omitted, { minLength: 1, maxLength: 2 }), (terms) => {
        const entry = entryWith(terms);
        let reason = ledgerReason(entry) ?? '';
        const known = terms.flatMap((t) => [saySize(t.value, 'V'), ...t.figures.map((f) => saySize(f.value, f.unit))]);
        for (const said of known.sort((a, b) => b.length - a.length)) reason = reason.split(said).join('');
        expect(reason).not.toMatch(/\d/);
      }),
    );
  });
});
