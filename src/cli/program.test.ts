import { describe, expect, it } from 'vitest';
import { footroom } from './testing.ts';

describe('the command line', () => {
  it('prints its help with status 0, and with status 2 where no command is given', () => {
    const help = footroom(['--help']);
    expect(help.status).toBe(0);
    expect(help.out).toMatch(/ask .*question/);
    const bare = footroom([]);
    expect(bare.status).toBe(2);
    expect(bare.err).toContain('Usage: footroom');
  });

  it('refuses an unknown command and names the nearest', () => {
    const { status, err } = footroom(['aks']);
    expect(status).toBe(2);
    expect(err).toMatch(/^command line:1:10: .*aks.*ask/);
  });

  it('prints the JSON Schema of sheets', () => {
    const { status, out } = footroom(['schema']);
    expect(status).toBe(0);
    expect(JSON.parse(out)).toMatchObject({
      $schema: expect.stringContaining('2020-12'),
      required: expect.arrayContaining(['footroom', 'parts']),
    });
  });

  it('lists the built-in devices, and shows one with its source and residuals', () => {
    expect(footroom(['devices']).out).toMatch(/^small-signal +NPN transistor, PNP transistor$/m);
    const { status, out } = footroom(['devices', 'small-signal']);
    expect(status).toBe(0);
    expect(out).toMatch(/figure +at +wanted +met +residual +source/);
    expect(out).toMatch(/saturationCurrent +[\d.]+ ?[pf]?A/);
    const unknown = footroom(['devices', 'small-singal']);
    expect(unknown.status).toBe(2);
    expect(unknown.err).toContain('is small-signal meant?');
  });

  it('takes no colour where NO_COLOR is set or no terminal reads', () => {
    expect(footroom(['--help'], { env: { NO_COLOR: '1' } }).out).not.toContain('\u001b');
    expect(footroom(['--help']).out).not.toContain('\u001b');
  });
});

describe('the examples in the help', () => {
  // `footroom schema > FILE` and the like are a shell's; what stands before the sign is ours.
  const examplesOf = (help: string): string[] =>
    [...help.matchAll(/^ {2}footroom (.+)$/gm)].map(([, line]) => line.replace(/ >.*$/, '').replace(/-o \S+\.svg/, '-o -'));

  it.each([[[]], [['ask']], [['draw']], [['devices']], [['schema']]])('of `footroom %s` work as they stand', (command: string[]) => {
    const examples = examplesOf(footroom([...command, '--help']).out);
    expect(examples.length).toBeGreaterThan(0);
    for (const example of examples) {
      const { status, err } = footroom(example.split(' '));
      expect(`${example}: ${err}`).toBe(`${example}: `);
      expect(status).toBe(0);
    }
  });
});
