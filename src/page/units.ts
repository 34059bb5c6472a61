/** Units as the answers write them, as the units in which figures are said. */
import type { Unit } from '../words/numbers.ts';

const SAID: ReadonlySet<string> = new Set<Unit>([
  'V',
  'A',
  'Ω',
  'F',
  'H',
  'Hz',
  's',
  'W',
  'S',
  'm',
  'F/m',
  'V/√Hz',
  'K/W',
  'V/K',
  '°C',
  'dB',
  '°',
  'share',
  'number',
]);
const ALSO: Readonly<Record<string, Unit>> = { ohm: 'Ω', '': 'number', '1': 'number', 'V/V': 'number', '%': 'share' };

/** A ledger's unit; what is not known is a bare number. */
export function unitOf(text: string): Unit {
  return SAID.has(text) ? (text as Unit) : (ALSO[text] ?? 'number');
}
