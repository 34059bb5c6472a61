/** The command's entry: runs the program on the process's own arguments and streams. */
import { createProgram } from './program.ts';

await createProgram().parseAsync(process.argv);
