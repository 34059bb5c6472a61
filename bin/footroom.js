#!/usr/bin/env node
// The command. In a checkout it builds itself first whenever a source is newer than what was built.
import { existsSync } from 'node:fs';

const built = new URL('../dist/footroom.mjs', import.meta.url);
const builder = new URL('../tools/build.mjs', import.meta.url);

if (existsSync(builder)) {
  const { buildCommand, commandIsStale } = await import(builder.href);
  if (commandIsStale()) {
    try {
      await buildCommand();
    } catch (problem) {
      if (problem.code === 'ERR_MODULE_NOT_FOUND') console.error('footroom: its dependencies are not installed; run "npm ci" first.');
      else console.error(`footroom: it could not be built: ${problem.message}`);
      process.exit(2);
    }
  }
}
await import(built.href);
