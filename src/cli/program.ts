/** The command line as a tree of commands. What a command does is loaded when it runs, so that help comes at once. */
import { Argument, Command, Option } from 'commander';
import { count, positive } from './quantities.ts';
import { QUESTIONS, type TypedChange, type TypedOptions } from './typed.ts';
import { version } from './version.ts';

const CHANGES: { option: TypedChange['option']; value: string; help: string }[] = [
  { option: 'set', value: 'PATH=VALUE', help: 'another value: --set parts.R3.resistor=330' },
  { option: 'load', value: 'NAME', help: "another of the sheet's loads" },
  { option: 'lift', value: 'PART', help: 'take one leg of a part off the board' },
  { option: 'short', value: 'PART', help: 'bridge a part' },
  { option: 'tack', value: 'PART', help: "add a part: --tack 'R9: { resistor: 1k, from: out, to: gnd }'" },
  { option: 'insert', value: 'PART', help: "put a part in series: --insert 'R9: { resistor: 100, at: Q1.base }'" },
  { option: 'swap', value: 'PART', help: 'put another value or device in its place: --swap Q1=power' },
];

const SHEET = new Argument('<sheet>', 'file of the sheet, or - for standard input');

function example(command: Command, ...lines: string[]): Command {
  const heading = lines.length > 1 ? 'Examples:' : 'Example:';
  return command.addHelpText('after', `\n${heading}\n${lines.map((line) => `  ${line}`).join('\n')}\n`);
}

function repeated(text: string, before: string[] = []): string[] {
  return [...before, text];
}

/** Gives `command` the options that change the circuit; returns the list that fills as they are read, in their order. */
function takeChanges(command: Command): TypedChange[] {
  const changes: TypedChange[] = [];
  for (const { option, value, help } of CHANGES) {
    command.addOption(
      new Option(`--${option} <${value}>`, help)
        .helpGroup('Changes to the circuit, in the order given, each as often as needed:')
        .argParser((text: string) => {
          changes.push({ option, text });
          return changes;
        }),
    );
  }
  return changes;
}

function addAsk(program: Command): void {
  const ask = program
    .command('ask')
    .summary('answer a question about a stage')
    .description(
      `Answers a question about a stage.\n\n${Object.entries(QUESTIONS)
        .map(([name, asks]) => `  ${name.padEnd(10)} ${asks}`)
        .join('\n')}`,
    )
    .argument('<question>', Object.keys(QUESTIONS).join(', '))
    .addArgument(SHEET)
    .option('--json', 'one JSON object for programs')
    .option('--figure <FILE.svg>', "write the answer's figure to a file as well")
    .option('--isothermal', 'hold all junctions at the air temperature');
  const knob = 'Against a knob:';
  ask
    .addOption(
      new Option('--against <PATH=FROM..TO>', 'the same question over a range; :POINTS, :log or :linear may follow').helpGroup(knob),
    )
    .addOption(new Option('--figure-of <NAME>', 'only this figure of it, such as high.room').argParser(repeated).helpGroup(knob));
  const changes = takeChanges(ask);
  const band = 'impedance:';
  const run = 'waveform:';
  ask
    .addOption(new Option('--frequency <F>', "of the single figures (default: the drive's)").argParser(positive('Hz')).helpGroup(band))
    .addOption(new Option('--from <F>', 'where the curve begins').argParser(positive('Hz')).helpGroup(band))
    .addOption(new Option('--to <F>', 'where it ends').argParser(positive('Hz')).helpGroup(band))
    .addOption(new Option('--points <N>', 'how many, evenly spaced in logarithm').argParser(count(2, 100_000)).helpGroup(band))
    .addOption(new Option('--samples <N>', 'of the traces (default: 512)').argParser(count(2, 1_000_000)).helpGroup(run))
    .addOption(new Option('--harmonics <N>', 'of the spectrum (default: 20)').argParser(count(2, 10_000)).helpGroup(run))
    .addOption(new Option('--from-rest', 'from switch-on, not settled').helpGroup(run))
    .addOption(new Option('--duration <T>', 'of the run from switch-on').argParser(positive('s')).helpGroup(run))
    .action(async (question: string, sheet: string, options: TypedOptions) => {
      const { runAsk } = await import('./ask.ts');
      await runAsk(question, sheet, changes, options);
    });
  example(
    ask,
    'footroom ask swing examples/headphone-follower.sheet.yaml',
    'footroom ask quiescent examples/headphone-follower.sheet.yaml --set parts.R3.resistor=330 --json',
    'footroom ask quiescent examples/headphone-follower.sheet.yaml --against parts.R3.resistor=220..2k2:5 --figure-of nodes.out',
  );
}

function addDraw(program: Command): void {
  const draw = program
    .command('draw')
    .summary('draw a stage')
    .description('Draws a stage as SVG, with its volts and currents at rest.')
    .addArgument(SHEET)
    .requiredOption('-o, --output <FILE.svg>', 'file to write, or - for standard output')
    .option('--bare', 'without volts and currents');
  const changes = takeChanges(draw);
  draw.action(async (sheet: string, { output, bare = false }: { output: string; bare?: boolean }) => {
    const { runDraw } = await import('./draw.ts');
    await runDraw(sheet, changes, output, bare);
  });
  example(draw, 'footroom draw examples/headphone-follower.sheet.yaml -o follower.svg');
}

function addDevices(program: Command): void {
  const devices = program
    .command('devices')
    .summary('list the built-in devices, or show one')
    .description('Lists the built-in devices; with a name, where its figures come from and how well each is met.')
    .argument('[name]', 'name of a class or type')
    .option('--json', 'one JSON object for programs')
    .action(async (name: string | undefined, options: { json?: boolean }) => {
      const { runDevices } = await import('./devices.ts');
      runDevices(name, options);
    });
  example(devices, 'footroom devices', 'footroom devices small-signal');
}

function addSchema(program: Command): void {
  const schema = program
    .command('schema')
    .summary('print the JSON Schema of sheets')
    .description('Prints the JSON Schema of sheets (format 1), for editors that complete and check while typing.')
    .action(async () => {
      const { sheetJsonSchema } = await import('../sheet/index.ts');
      console.log(JSON.stringify(sheetJsonSchema(), null, 2));
    });
  example(schema, 'footroom schema > sheet.schema.json');
}

/** A new program: commands, options and help, with nothing run yet. What is wrong is thrown, and printed by the entry. */
export function createProgram(): Command {
  const program = new Command('footroom')
    .description('A workbench for discrete transistor stages: predicts what a stage does, and says why.')
    .version(version)
    .exitOverride()
    .configureOutput({ outputError: () => {} });
  addAsk(program);
  addDraw(program);
  addDevices(program);
  addSchema(program);
  return example(program, 'footroom ask quiescent examples/headphone-follower.sheet.yaml');
}
