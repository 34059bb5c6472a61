/** The ledger: rule of thumb, computed, measured, how far apart, and why. */
import type { LedgerEntry } from '../../answers/types.ts';
import { inked } from '../../figures/colour.ts';
import { UNITS } from '../../quantity/index.ts';
import { say, type Unit } from '../../words/numbers.ts';
import { type Cell, figure, table, word } from './table.ts';
import { hanging, wrap } from './text.ts';

/** Apart by this and more is worth a reason (`product.md`: 10 %). */
const WORTH_SAYING = 0.1;
/** From this factor on, a difference is said as a factor. */
const AS_FACTOR = 2;

/** The unit a ledger entry is in; a bare number where its unit is not one of ours. */
export function unitOf(entry: Pick<LedgerEntry, 'unit'>): Unit {
  return entry.unit in UNITS ? (entry.unit as Unit) : 'number';
}

/** How far the computed value is from the rule's: "−16 %", "× 2.41"; empty where they agree. */
export function difference(entry: LedgerEntry): string {
  const ratio = entry.computed / entry.rule.value;
  if (!Number.isFinite(ratio) || Math.abs(ratio - 1) < WORTH_SAYING) return '';
  if (ratio >= AS_FACTOR || (ratio > 0 && ratio <= 1 / AS_FACTOR)) return `×\u00a0${say(ratio, 'number')}`;
  const share = say(ratio - 1, 'share', { figures: 2 });
  return ratio > 1 ? `+${share}` : share;
}

/** The ledger as lines, none where there are no entries. */
export function ledgerLines(ledger: readonly LedgerEntry[], width: number, colour: boolean): string[] {
  if (ledger.length === 0) return [];
  const rule = (entry: LedgerEntry): string =>
    (entry.rule.withNumbers ?? entry.rule.expression).replace(/-/g, '\u2212').replace(/\u00a0/g, ' ');
  const measured: Cell[] = ledger.map((entry) => figure(entry.measured, unitOf(entry), { ink: 'amp' }));
  const figures = [
    { head: 'rule', cells: ledger.map((entry) => figure(entry.rule.value, unitOf(entry))) },
    { head: 'computed', cells: ledger.map((entry) => figure(entry.computed, unitOf(entry), { ink: 'bold' })) },
    { head: 'measured', cells: measured },
    { head: 'apart', cells: ledger.map((entry) => word(difference(entry).replace(/\u00a0/g, ' '), 'warn')) },
  ];
  const quantity = { head: 'quantity', cells: ledger.map((entry) => word(entry.quantity)) };
  const whole = table(
    [quantity, { head: 'rule of thumb', cells: ledger.map((entry) => word(rule(entry))) }, ...figures],
    Number.MAX_SAFE_INTEGER,
    false,
  );
  const inOne = whole.every((line) => line.length <= width);
  const rows = inOne
    ? table([quantity, { head: 'rule of thumb', cells: ledger.map((entry) => word(rule(entry))) }, ...figures], width, colour)
    : table([quantity, ...figures], width, colour);
  const lines = [rows[0]];
  ledger.forEach((entry, k) => {
    lines.push(rows[k + 1]);
    if (!inOne) lines.push(...wrap(rule(entry), width - 2).map((line) => `  ${inked(line, 'faint', colour)}`));
    if (entry.reason !== undefined) lines.push(...hanging('', entry.reason, 2, width));
  });
  return lines;
}
