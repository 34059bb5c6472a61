/** What a sentence needs to know beside the answer: how the sheet calls the output, the load and the drive. */
import type { Answer } from '../answers/types.ts';
import { rolesOf } from '../explain/roles.ts';
import { GROUND, type Sheet } from '../sheet/types.ts';
import { agree } from './grammar.ts';

export interface Surroundings {
  /** The output node's name, or "the output" where the sheet is not at hand. */
  output: string;
  /** The connected load's name; null when the output is open. */
  load: string | null;
  /** The drive's node, where there is one. */
  drive: string | null;
  /** The sheet, for its targets and for what joins what. */
  sheet: Sheet | null;
}

export function surroundingsOf(answer: Pick<Answer, 'load'>, sheet?: Sheet): Surroundings {
  const listed = sheet?.loads.find((load) => load.name === answer.load);
  return {
    output: sheet?.output ?? 'the output',
    load: listed?.open ? null : answer.load,
    drive: sheet?.drive?.node ?? null,
    sheet: sheet ?? null,
  };
}

/** The load as the subject of a sentence: "the phones", or "the load" where it has no name. */
export function theLoad(surroundings: Surroundings): string {
  return surroundings.load === null ? 'the load' : `the ${surroundings.load}`;
}

/** "the phones return", "the line returns". */
export function loadVerb(surroundings: Surroundings, verb: string): string {
  return `${theLoad(surroundings)} ${agree(surroundings.load ?? 'load', verb)}`;
}

/** True of a resistor or inductor by which the signal goes on to the output: one end is the output's, straight or by capacitors. */
export function leadsToOutput({ sheet }: Surroundings, part: string): boolean {
  const link = sheet?.parts.find((p) => p.name === part);
  if (!sheet?.output || (link?.kind !== 'resistor' && link?.kind !== 'inductor')) return false;
  const fixed = new Set([GROUND, ...sheet.supplies.map((s) => s.node)]);
  const near = new Set([sheet.output]);
  for (let size = 0; size !== near.size; ) {
    size = near.size;
    for (const p of sheet.parts) {
      if (p.kind !== 'capacitor' || p.lifted || near.has(p.from) === near.has(p.to) || fixed.has(p.from) || fixed.has(p.to)) continue;
      near.add(p.from).add(p.to);
    }
  }
  return near.has(link.from) !== near.has(link.to) && !fixed.has(link.from) && !fixed.has(link.to);
}

/** True of the two halves of one differential pair. */
export function shareATail({ sheet }: Surroundings, a: string | null, b: string): boolean {
  if (sheet === null || a === null) return false;
  const role = rolesOf(sheet)[a];
  return role?.name === 'half of a differential pair' && role.partner === b;
}
