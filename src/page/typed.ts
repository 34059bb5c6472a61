/** What a person typed into a knob, read as a quantity of that knob's unit. */
import { parseQuantity, type Unit } from '../quantity/index.ts';
import { capital } from '../words/grammar.ts';
import { say } from '../words/numbers.ts';

/**
 * Reads `4k7`, `2 Vpp`, `0.5`; `pp` and `p-p` after volts are what people write for peak to peak.
 * @returns the value in SI units, or a sentence that says what would be right
 */
export function readAs(
  text: string,
  unit: Unit,
  limits: { least?: number; above?: number; most?: number } = {},
): { value: number } | { problem: string } {
  const read = parseQuantity(unit === 'V' ? text.replace(/\s*p-?p\s*$/i, '') : text, unit);
  if (!read.ok) return { problem: `${capital(read.cause)}; ${read.remedy}.` };
  if (limits.above !== undefined && read.value <= limits.above) return { problem: `This takes more than ${say(limits.above, unit)}.` };
  if (limits.least !== undefined && read.value < limits.least) return { problem: `This takes ${say(limits.least, unit)} or more.` };
  if (limits.most !== undefined && read.value > limits.most) return { problem: `This takes ${say(limits.most, unit)} or less.` };
  return { value: read.value };
}
