/** Reading sheets and writing what commands make, with sentences instead of the system's error codes. */
import { readFile, writeFile } from 'node:fs/promises';
import { onCommandLine, Refusal } from './refusal.ts';

const REASONS: Record<string, string> = {
  ENOENT: 'there is no such file or folder',
  EACCES: 'it may not be opened by this user',
  EISDIR: 'it is a folder',
  ENOTDIR: 'a part of the path is not a folder',
  ENOSPC: 'the disk is full',
  EROFS: 'the disk may only be read',
};

/** Largest text that is read as a sheet, bytes: some ten thousand times a usual one, so that a wrong file is named, not chewed. */
const LARGEST_SHEET = 8 << 20;

function reason(problem: unknown): string {
  const { code, message } = problem as NodeJS.ErrnoException;
  return REASONS[code ?? ''] ?? message;
}

/** A sheet's text from `path`, or from standard input for `-`. `name` is what messages call it. Throws a Refusal. */
export async function readText(path: string): Promise<{ name: string; text: string }> {
  const name = path === '-' ? 'standard input' : path;
  const bytes = await (path === '-' ? readInput() : readFile(path)).catch((problem: unknown) => {
    throw new Refusal([onCommandLine(path, 'unreadable-file', `${name} cannot be read: ${reason(problem)}`)]);
  });
  if (bytes.length > LARGEST_SHEET) {
    throw new Refusal([onCommandLine(path, 'unreadable-file', `${name} is larger than a sheet can be (${LARGEST_SHEET >> 20} MB)`)]);
  }
  try {
    return { name, text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch {
    throw new Refusal([onCommandLine(path, 'unreadable-file', `${name} is not text in UTF-8`)]);
  }
}

async function readInput(): Promise<Buffer> {
  const pieces: Buffer[] = [];
  for await (const piece of process.stdin) pieces.push(piece as Buffer);
  return Buffer.concat(pieces);
}

/** Writes `text` to the file at `path`, or to standard output for `-`. Throws a Refusal. */
export async function writeText(path: string, text: string): Promise<void> {
  if (path === '-') {
    process.stdout.write(text);
    return;
  }
  await writeFile(path, text).catch((problem: unknown) => {
    throw new Refusal([onCommandLine(path, 'unwritable-file', `${path} cannot be written: ${reason(problem)}`)]);
  });
}
