import { describe, expect, it } from 'vitest';
import { evaluate } from '../explain/pencil/formula.ts';
import { apart } from '../explain/pencil/line.ts';
import { readSheet } from '../sheet/read.ts';
import type { Sheet } from '../sheet/types.ts';
import { ask } from './ask.ts';
import type { LedgerEntry, Question } from './types.ts';

const EXAMPLES = Object.entries(
  import.meta.glob<string>('../../examples/*.sheet.yaml', { query: '?raw', import: 'default', eager: true }),
).map(([path, text]) => [path.replace(/^.*\//, ''), text] as const);
const QUESTIONS: Question[] = ['quiescent', 'swing', 'impedance', 'waveform'];

function sheetOf(text: string): Sheet {
  const { sheet } = readSheet(text);
  if (sheet === null) throw new Error('the example is not sound');
  return sheet;
}
function ledgerOf(question: Question, sheet: Sheet): LedgerEntry[] {
  const answer = ask(question, sheet, { help: false });
  return 'failure' in answer ? [] : answer.ledger;
}

describe('the ledger', () => {
  it('finds the examples', () => {
    expect(EXAMPLES.length).toBeGreaterThanOrEqual(13);
  });

  it.each(EXAMPLES)('of %s holds finite figures, and each line agrees, is explained, or says that nothing explains it', (_, text) => {
    const sheet = sheetOf(text);
    let lines = 0;
    for (const question of QUESTIONS) {
      for (const entry of ledgerOf(question, sheet)) {
        lines++;
        const { rule, computed, omitted } = entry;
        expect(Number.isFinite(rule.value) && Number.isFinite(computed), entry.quantity).toBe(true);
        expect(rule.formula && evaluate(rule.formula)).toBe(rule.value);
        expect(omitted !== undefined, entry.quantity).toBe(apart(rule.value, computed, entry.unit));
        if (!omitted || omitted.length === 0) continue;
        expect(omitted.length).toBeLessThanOrEqual(2);
        expect(
          apart(
            omitted.reduce((total, o) => total + o.value, rule.value),
            computed,
          ),
          entry.quantity,
        ).toBe(false);
      }
    }
    expect(lines).toBeGreaterThan(0);
  });

  it.each(EXAMPLES)('of %s is the same whatever its nodes are called', (_, text) => {
    const sheet = sheetOf(text);
    const renamed = (node: string): string => (node === 'gnd' ? node : `n_${node.length}_${node}`);
    const parts = sheet.parts.map((p) => {
      if ('collector' in p) return { ...p, collector: renamed(p.collector), base: renamed(p.base), emitter: renamed(p.emitter) };
      if (p.kind === 'diode') return { ...p, anode: renamed(p.anode), cathode: renamed(p.cathode) };
      if (p.kind === 'trimmer') return { ...p, from: renamed(p.from), to: renamed(p.to), wiper: renamed(p.wiper) };
      return { ...p, from: renamed(p.from), to: renamed(p.to) };
    });
    const other: Sheet = {
      ...sheet,
      parts,
      supplies: sheet.supplies.map((s) => ({ ...s, node: renamed(s.node) })),
      loads: sheet.loads.map((l) => ({ ...l, to: renamed(l.to) })),
      ...(sheet.drive ? { drive: { ...sheet.drive, node: renamed(sheet.drive.node) } } : {}),
      ...(sheet.output === undefined ? {} : { output: renamed(sheet.output) }),
    };
    const quantities = (s: Sheet): string[] => ledgerOf('quiescent', s).map((entry) => `${entry.quantity}: ${entry.rule.withNumbers}`);
    expect(quantities(other)).toEqual(quantities(sheet));
  });
});
