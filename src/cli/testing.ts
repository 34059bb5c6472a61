/** What the command line's tests share: running the command as a person does, from the checkout, and a sheet to run it on. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

const root = resolve(import.meta.dirname, '../..');

export interface Ran {
  status: number | null;
  out: string;
  err: string;
}

/** Runs `footroom` with `args`; `input` is its standard input, empty by default. */
export function footroom(args: string[], { input = '', env = {} }: { input?: string; env?: Record<string, string> } = {}): Ran {
  const { status, stdout, stderr } = spawnSync(process.execPath, [join(root, 'bin/footroom.js'), ...args], {
    cwd: root,
    encoding: 'utf8',
    input,
    env: { ...process.env, ...env },
  });
  return { status, out: stdout, err: stderr };
}

/** A folder that is there for one test. */
export function temporaryFolder(): { path: string; write(name: string, text: string): string; remove(): void } {
  const path = mkdtempSync(join(tmpdir(), 'footroom-cli-'));
  return {
    path,
    write(name, text) {
      writeFileSync(join(path, name), text);
      return join(path, name);
    },
    remove: () => rmSync(path, { recursive: true, force: true }),
  };
}

/** The listening post's follower, with a device of its own. */
export const FOLLOWER = `footroom: 1
title: Listening post, follower
supplies:
  vcc: 9 V
parts:
  R1: { resistor: 47k, from: vcc, to: base }
  R2: { resistor: 56k, from: base, to: gnd }
  C1: { capacitor: 1u, from: in, to: base }
  Q1: { npn: q-post, collector: vcc, base: base, emitter: out }
  R3: { resistor: 1k, from: out, to: gnd }
devices:
  q-post: { npn: { saturationCurrent: 2e-14, forwardBeta: 240, reverseBeta: 3 } }
drive: { node: in, sourceResistance: 600, peakToPeak: 1 V, frequency: 440 Hz }
output: out
loads:
  none: open
  phones: { resistor: 150 }
`;
