/** `footroom draw`: the drawing of a stage as a file. */
import { answer } from '../words/answer.ts';
import { drawingOf } from './figure.ts';
import { writeText } from './files.ts';
import { complaintLine } from './refusal.ts';
import { soundSheet } from './sheet.ts';
import type { TypedChange } from './typed.ts';

/** Runs `footroom draw`: with the volts and currents at rest, or without them where the stage has no resting point. */
export async function runDraw(path: string, changes: readonly TypedChange[], output: string, bare: boolean): Promise<void> {
  const { name, sheet, warnings } = await soundSheet(path, changes);
  for (const warning of warnings) console.error(complaintLine(warning));
  const rest = bare ? null : answer('quiescent', sheet);
  if (rest !== null && 'error' in rest) console.error(`${name}: drawn without values. ${rest.error}`);
  await writeText(output, drawingOf(sheet, rest !== null && !('error' in rest) && rest.question === 'quiescent' ? rest : null));
}
