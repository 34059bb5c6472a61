/** The command's entry: runs the program on the process's own arguments and streams, and turns what it throws into words. */
import { CommanderError } from 'commander';
import { createProgram } from './program.ts';
import { type Complaint, complaintLine, onCommandLine, Refusal } from './refusal.ts';

/** The sheet or the command is wrong; also a fault of the program itself, which is no answer either. */
const WRONG = 2;

const wantsObject = process.argv.includes('--json');

function refuse(complaints: Complaint[]): void {
  for (const complaint of complaints) console.error(complaintLine(complaint));
  if (wantsObject) console.log(JSON.stringify({ format: 1, problems: complaints }));
  process.exitCode = WRONG;
}

/** Commander's own words, which start in lower case and say "error:" first. */
function fromCommander({ code, message }: CommanderError): Complaint {
  const [first, ...more] = message.replace(/^error: /, '').split('\n');
  const sentence = [first, ...more.map((line) => line.replace(/^\((.*)\)$/, '$1'))].join('; ');
  const [, word = ''] = /'([^' ]+)/.exec(first) ?? [];
  return onCommandLine(
    word,
    code.replace(/^commander\./, '').replace(/[A-Z]/g, (capital) => `-${capital.toLowerCase()}`),
    sentence,
  );
}

// A reader that stops early (`| head`) is no fault.
process.stdout.on('error', (problem: NodeJS.ErrnoException) => {
  if (problem.code !== 'EPIPE') throw problem;
});

try {
  await createProgram().parseAsync(process.argv);
} catch (problem) {
  if (problem instanceof Refusal) refuse(problem.complaints);
  else if (problem instanceof CommanderError) {
    // Help and version come as errors with status 0: they are answers. Without a command, help has been printed.
    if (problem.code === 'commander.help') process.exitCode = WRONG;
    else if (problem.exitCode !== 0) refuse([fromCommander(problem)]);
  } else {
    const command = ['footroom', ...process.argv.slice(2)].join(' ');
    const said = problem instanceof Error ? problem.message : String(problem);
    const sentence = `Footroom itself failed at "${command}": ${said}. This is a fault in the program, not in the sheet; please report it with the sheet.`;
    refuse([onCommandLine('', 'internal-fault', sentence)]);
    if (process.env.FOOTROOM_TRACE && problem instanceof Error) console.error(problem.stack);
  }
}
