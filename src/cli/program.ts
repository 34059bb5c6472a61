/** The command line as a tree of commands. */
import { Command } from 'commander';
import { version } from './version.ts';

/** A new program: commands, options and help, with nothing run yet. */
export function createProgram(): Command {
  return new Command('footroom')
    .description('A workbench for discrete transistor stages: predicts what a stage does, and says why.')
    .version(version)
    .showSuggestionAfterError(true);
}
