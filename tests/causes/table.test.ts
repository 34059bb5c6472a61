import { describe, expect, it } from 'vitest';
import { readSheet } from '../../src/sheet/index.ts';
import { CAUSE_TABLE } from './table.ts';

describe('the table of causes', () => {
  it('holds at least thirty-five stages, eight that do not clip and five with shared blame, each under its own name', () => {
    expect(CAUSE_TABLE.length).toBeGreaterThanOrEqual(35);
    expect(CAUSE_TABLE.filter((row) => !row.clipsAtDrive).length).toBeGreaterThanOrEqual(8);
    expect(CAUSE_TABLE.filter((row) => row.high?.parts.length === 2 || row.low?.parts.length === 2).length).toBeGreaterThanOrEqual(5);
    expect(new Set(CAUSE_TABLE.map((row) => row.name)).size).toBe(CAUSE_TABLE.length);
  });
  it.each(CAUSE_TABLE.map((row) => [row.name, row] as const))(
    '%s: the sheet is sound, names the parts that it blames, and its levels are numbers',
    (_, row) => {
      const { sheet, problems } = readSheet(row.sheet);
      expect(problems.filter((problem) => problem.severity === 'error').map((problem) => problem.sentence)).toEqual([]);
      const names = (sheet?.parts ?? []).map((part) => part.name);
      const blamed = [
        ...(row.high?.parts ?? []),
        ...(row.low?.parts ?? []),
        ...(row.stretches ?? []).flatMap((stretch) => [stretch.part, ...(stretch.blamed ?? [])]),
      ];
      expect(names).toEqual(expect.arrayContaining([...blamed, ...row.innocent]));
      for (const innocent of row.innocent) expect(blamed).not.toContain(innocent);
      for (const level of [row.high?.level, row.low?.level])
        if (level) expect(Number.isFinite(level.volts) && level.tolerance > 0, row.name).toBe(true);
    },
  );
});
