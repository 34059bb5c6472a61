/** The quiescent point in words: where the output side rests, what each transistor stands at, what the stage takes. */
import type { QuiescentAnswer, TransistorFigures, TwoTerminalFigures } from '../answers/types.ts';
import { rolesOf } from '../explain/roles.ts';
import type { Sheet } from '../sheet/types.ts';
import { counted, listed, sentence } from './grammar.ts';
import { say, saySize } from './numbers.ts';
import { roleSentence } from './roles.ts';
import type { Surroundings } from './surroundings.ts';
import { stateWord } from './waveform.ts';

export function isTransistor(figures: TransistorFigures | TwoTerminalFigures): figures is TransistorFigures {
  return 'collectorCurrent' in figures;
}

/** Beyond this many transistors the sentence names the largest currents only. */
const NAMED_AT_MOST = 3;

function transistors(answer: QuiescentAnswer): [string, TransistorFigures][] {
  return Object.entries(answer.parts)
    .filter((entry): entry is [string, TransistorFigures] => isTransistor(entry[1]))
    .sort((a, b) => Math.abs(b[1].collectorCurrent) - Math.abs(a[1].collectorCurrent));
}

/** The node that the last transistor before the output drives: its emitter or collector, whichever the output hangs on. */
function drivenNode(answer: QuiescentAnswer, surroundings: Surroundings): string | null {
  const { sheet } = surroundings;
  if (sheet === null) return null;
  const [first] = transistors(answer);
  const output = sheet.output;
  if (output === undefined) {
    const part = sheet.parts.find((p) => p.name === first?.[0]);
    return part !== undefined && 'emitter' in part && part.emitter !== 'gnd' ? part.emitter : null;
  }
  const near = new Set([output]);
  for (const part of sheet.parts) {
    if (part.kind !== 'capacitor') continue;
    if (part.from === output) near.add(part.to);
    if (part.to === output) near.add(part.from);
  }
  near.delete('gnd');
  for (const part of sheet.parts) {
    if (!('collector' in part)) continue;
    if (near.has(part.emitter)) return part.emitter;
  }
  for (const part of sheet.parts) {
    if ('collector' in part && near.has(part.collector)) return part.collector;
  }
  return beyondResistors(sheet, near) ?? [...near].find((name) => name !== output) ?? output;
}

/** The one emitter that meets the nodes of the output by a resistor; null where there are none or several. */
function beyondResistors(sheet: Sheet, near: ReadonlySet<string>): string | null {
  const others = new Set(
    sheet.parts.flatMap((part) =>
      part.kind === 'resistor' && near.has(part.from) !== near.has(part.to) ? [near.has(part.from) ? part.to : part.from] : [],
    ),
  );
  const emitters = new Set(sheet.parts.flatMap((part) => ('collector' in part && others.has(part.emitter) ? [part.emitter] : [])));
  emitters.delete('gnd');
  return emitters.size === 1 ? [...emitters][0] : null;
}

/** "Q2 stands at 12.5 mA", and of those after it "Q1 at 9.96 mA". */
function standing([name, figures]: [string, TransistorFigures], first: boolean): string {
  if (figures.region === 'off') return `${name} is off`;
  const odd = figures.region === 'active' ? '' : `, ${stateWord(figures.region)}`;
  return `${name} ${first ? 'stands at' : 'at'} ${say(figures.collectorCurrent, 'A')}${odd}`;
}

/** A: what flows in a stage that is off is leakage, of which nobody asks the third figure. */
const LEAKAGE = 1e-9;

function takes(answer: QuiescentAnswer): string | null {
  const all = Object.entries(answer.supplies);
  if (all.length === 0) return null;
  const supplies = all.filter(([, { current }]) => Math.abs(current) >= LEAKAGE);
  if (supplies.length === 0) return `The stage takes next to nothing from ${listed(all.map(([node]) => node))}.`;
  return sentence(
    `the stage takes ${listed(supplies.map(([node, s]) => `${saySize(s.current, 'A')}, ${saySize(s.power, 'W')}, from ${node}`))}`,
  );
}

/**
 * "out rests at 5.65 V and Q1 stands at 8.27 mA. The stage takes 8.42 mA, 101 mW, from vcc." and, where a rule of
 * thumb for a voltage or current misses by more than a tenth, its reason; where further resting points were found, that.
 */
export function quiescentSentences(answer: QuiescentAnswer, surroundings: Surroundings): string[] {
  const said: string[] = [];
  const all = transistors(answer);
  const off = all.slice(0, NAMED_AT_MOST).every(([, figures]) => figures.region === 'off');
  const named =
    off && all.length > 1
      ? [`${listed(all.map(([name]) => name).sort())} are off`]
      : all.slice(0, NAMED_AT_MOST).map((one, k) => standing(one, k === 0));
  const rest =
    all.length > NAMED_AT_MOST && !off
      ? `, the other ${all.length - NAMED_AT_MOST} ${counted(all.length - NAMED_AT_MOST, 'transistor')} at less`
      : '';
  const node = drivenNode(answer, surroundings);
  const place = node !== null && node in answer.nodes ? `${node} rests at ${say(answer.nodes[node], 'V')}` : null;
  if (place !== null && named.length > 0) said.push(`${place}${all.length === 1 ? ' and ' : '; '}${listed(named)}${rest}.`);
  else if (named.length > 0) said.push(`${listed(named)}${rest}.`);
  else if (place !== null) said.push(`${place}.`);

  const missed = answer.ledger.find(
    (entry) => entry.reason !== undefined && entry.omitted?.length !== 0 && ['V', 'A'].includes(entry.unit),
  );
  if (missed?.reason !== undefined) {
    const unit = missed.unit === 'V' ? 'V' : 'A';
    said.push(`The rule of thumb puts the ${missed.quantity} at ${say(missed.rule.value, unit)}. ${sentence(missed.reason)}`);
  }
  const drawn = takes(answer);
  if (drawn !== null) said.push(drawn);
  if (answer.otherSolutions.length > 0) {
    const many = answer.otherSolutions.length;
    said.push(
      many === 1
        ? 'It has a second resting point; which one it takes depends on how it is switched on.'
        : 'It has further resting points; which one it takes depends on how it is switched on.',
    );
  }
  return said;
}

/** The parts of a quiescent answer, each transistor's role with its sentence; without the sheet there are no sentences. */
export function spokenRoles(answer: QuiescentAnswer, sheet: Sheet | null): QuiescentAnswer['parts'] {
  if (sheet === null) return answer.parts;
  const roles = rolesOf(sheet);
  return Object.fromEntries(
    Object.entries(answer.parts).map(([name, figures]) => {
      const role = roles[name];
      if (!isTransistor(figures) || role === undefined) return [name, figures];
      return [name, { ...figures, role: { name: role.name, sentence: roleSentence(role, figures) } }];
    }),
  );
}
