/** The table of causes against the engine: parts, events, levels, and what must not be blamed. */
import { describe, expect, it } from 'vitest';
import { ask } from '../../src/answers/ask.ts';
import type { SwingAnswer, SwingLimit, WaveformAnswer } from '../../src/answers/types.ts';
import { readSheet } from '../../src/sheet/index.ts';
import type { Sheet } from '../../src/sheet/types.ts';
import type { CauseRow, ExpectedCause, ExpectedStretch } from './row.ts';
import { CAUSE_TABLE } from './table.ts';

/** A shared machine may be busy; no stage should come near it. */
const PATIENCE = 60_000;

function sheetOf(row: CauseRow): Sheet {
  const { sheet } = readSheet(row.sheet);
  if (!sheet) throw new Error(`${row.name} cannot be read.`);
  return row.load === undefined ? sheet : { ...sheet, load: row.load };
}
function swingOf(row: CauseRow): SwingAnswer {
  const answer = ask('swing', sheetOf(row));
  if (!('high' in answer)) throw new Error(`${row.name}: no swing.`);
  return answer;
}
function waveformOf(row: CauseRow): WaveformAnswer {
  const answer = ask('waveform', sheetOf(row));
  if (!('stretches' in answer)) throw new Error(`${row.name}: no settled waveform.`);
  return answer;
}

function judge(limit: SwingLimit | null, expected: ExpectedCause | null, innocent: string[]): void {
  if (expected === null) {
    expect(limit).toBeNull();
    return;
  }
  expect(limit).not.toBeNull();
  const { cause, volts, flat } = limit!;
  const largest = Object.entries(cause.shares)
    .sort((a, b) => b[1] - a[1])
    .map(([part]) => part);
  // With shared blame the cause names one of the two; the second follows from the shares, and nothing is proven.
  expect(largest.slice(0, expected.parts.length).sort(), JSON.stringify(cause.shares)).toEqual([...expected.parts].sort());
  expect(expected.parts).toContain(cause.part);
  if (expected.parts.length > 1) expect(cause.proven).toBe(false);
  expect(expected.events).toContain(cause.event);
  expect(innocent).not.toContain(cause.part);
  if (!expected.level) return;
  const figure = expected.level.figure === 'limit' ? volts : flat?.volts;
  expect(
    Math.abs((figure ?? Number.NaN) - expected.level.volts),
    `${figure} V, on paper ${expected.level.volts} V: ${expected.level.source}`,
  ).toBeLessThanOrEqual(expected.level.tolerance);
}

function judgeStretch(answer: WaveformAnswer, output: string, expected: ExpectedStretch): void {
  const period = answer.period ?? Number.NaN;
  const half = (from: number, to: number) => (((from + to) / 2) % period < period / 2 ? 'positive' : 'negative');
  const found = answer.stretches.find(
    (s) => s.part === expected.part && s.state === expected.state && (expected.half === 'either' || half(s.from, s.to) === expected.half),
  );
  const list = answer.stretches
    .map((s) => `${s.part} ${s.state} ${s.from}..${s.to} ${s.cause?.part ?? '-'} ${s.cause?.event ?? '-'}`)
    .join('; ');
  expect(found, list).toBeDefined();
  const { cause, from, to } = found!;
  if (expected.blamed === null) {
    if (cause !== null) expect(cause.event, list).toBe('both-off');
  } else {
    expect(expected.blamed, list).toContain(cause?.part);
    expect(expected.events, list).toContain(cause?.event);
  }
  if (!expected.level) return;
  const samples = answer.nodes[output];
  const middle = samples[Math.round(((from + to) / 2 / period) * samples.length) % samples.length];
  expect(Math.abs(middle - expected.level.volts), `${middle} V: ${expected.level.source}`).toBeLessThanOrEqual(expected.level.tolerance);
}

describe('what stops a stage', () => {
  const limited = CAUSE_TABLE.filter((row) => row.high !== undefined || row.low !== undefined || row.deadZone);
  it.each(limited.map((row) => [row.name, row] as const))(
    '%s: the swing names the part, what it did and the level on paper',
    (_, row) => {
      const answer = swingOf(row);
      if (row.high !== undefined) judge(answer.high, row.high, row.innocent);
      if (row.low !== undefined) judge(answer.low, row.low, row.innocent);
      if (!row.deadZone) return;
      expect(Math.abs((answer.deadZone?.from ?? Number.NaN) - row.deadZone.from)).toBeLessThanOrEqual(row.deadZone.tolerance);
      expect(Math.abs((answer.deadZone?.to ?? Number.NaN) - row.deadZone.to)).toBeLessThanOrEqual(row.deadZone.tolerance);
    },
    PATIENCE,
  );

  const waved = CAUSE_TABLE.filter((row) => !row.clipsAtDrive || (row.stretches ?? []).length > 0);
  it.each(waved.map((row) => [row.name, row] as const))(
    '%s: the waveform blames what is to blame, and nothing where the output is clean',
    (_, row) => {
      const answer = waveformOf(row);
      const blamed = [...answer.stretches, ...answer.turnedOn].flatMap((s) => (s.cause?.part ? [s.cause.part] : []));
      expect(blamed.filter((part) => !row.clipsAtDrive || row.innocent.includes(part))).toEqual([]);
      for (const stretch of row.stretches ?? []) judgeStretch(answer, sheetOf(row).output ?? '', stretch);
    },
    PATIENCE,
  );
});
