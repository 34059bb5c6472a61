// The commands of README.md and their printed outputs: `npm run readme` runs each and writes the outputs in again.
// In a block marked `console`, a line "$ npx footroom ..." is followed by what it prints; in one marked `sh`, each such
// line is a command alone.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = resolve(fileURLToPath(import.meta.url), '../..');
const path = join(root, 'README.md');
const START = 'npx footroom';

/** The words of a command line: parted at blanks, except within single quotes; what follows " #" is for the reader. */
function wordsOf(line) {
  const [command] = line.split(/\s#/);
  return [...command.slice(START.length).matchAll(/'([^']*)'|(\S+)/g)].map(([, quoted, bare]) => quoted ?? bare);
}

/** Every command in `text`, in order: its line, its words, and the output printed under it (null where none is). */
export function commandsOf(text) {
  const commands = [];
  for (const [, kind, body] of text.matchAll(/^```(sh|console)\n([\s\S]*?)^```$/gm)) {
    if (kind === 'console') {
      const [first, ...printed] = body.split('\n');
      const line = first.replace(/^\$ /, '');
      if (line.startsWith(START)) commands.push({ line, words: wordsOf(line), printed: printed.join('\n') });
    } else {
      for (const line of body.split('\n')) if (line.startsWith(START)) commands.push({ line, words: wordsOf(line), printed: null });
    }
  }
  return commands;
}

/** Runs a command as from the checkout, in a folder of its own so that what it writes goes away. */
export function runCommand(words) {
  const folder = mkdtempSync(join(tmpdir(), 'footroom-readme-'));
  try {
    symlinkSync(join(root, 'examples'), join(folder, 'examples'), 'junction');
    const { status, stdout, stderr } = spawnSync(process.execPath, [join(root, 'bin/footroom.js'), ...words], {
      cwd: folder,
      encoding: 'utf8',
      maxBuffer: 1 << 26,
    });
    return { status, out: stdout, err: stderr };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

if (process.argv[1] !== undefined && resolve(process.argv[1]) === fileURLToPath(import.meta.url)) {
  const text = readFileSync(path, 'utf8').replace(/^```console\n\$ (.*)\n[\s\S]*?^```$/gm, (block, line) => {
    if (!line.startsWith(START)) return block;
    const { status, out, err } = runCommand(wordsOf(line));
    if (status !== 0) {
      console.error(`"${line}" ended with status ${status}:\n${err}`);
      process.exit(1);
    }
    return `\`\`\`console\n$ ${line}\n${out}\`\`\``;
  });
  writeFileSync(path, text);
}
