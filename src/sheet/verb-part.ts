/** The verbs that bring a part: tack, insert, swap. */
import { entryKeys, readDocument, type SheetDocument } from './document.ts';
import { addPair, flowMap, keysAt, removePair, replaceValue, scalarAt, scalarSource, valueSource } from './edit.ts';
import { isName, suggestion } from './nearest.ts';
import { PART_RULES } from './part-rules.ts';
import { kindAmong } from './read-part.ts';
import { GROUND, type PartKind } from './types.ts';
import { cannotEdit, unknownName, VerbFault } from './verb.ts';

/** A part given as text: its name, and a little document that holds `NAME: { ... }`. */
interface GivenPart {
  name: string;
  document: SheetDocument;
  keys: string[];
}

function givenPart(text: string, verb: string): GivenPart | VerbFault {
  const document = readDocument(text.trim());
  const [fault] = document.problems;
  const names = keysAt(document, []) ?? [];
  const [name] = names;
  const keys = name === undefined ? null : keysAt(document, [name]);
  if (fault !== undefined || names.length !== 1 || name === undefined || keys === null || text.trim().includes('\n')) {
    const why = fault === undefined ? 'it is not one part with its keys in braces' : fault.sentence.replace(/\.$/u, '');
    return new VerbFault(
      'not-a-part',
      '',
      text,
      `"${text}" cannot be read as a part: ${why}; write it as ${verb === 'insert' ? 'R9: { resistor: 100, at: Q1.base }' : 'R9: { resistor: 1k, from: out, to: gnd }'}.`,
    );
  }
  if (!isName(name))
    return new VerbFault('not-a-name', '', name, `"${name}" is not a name; a part's name has letters, digits, _, + and -.`);
  return { name, document, keys };
}

/** The given part as text of the sheet. */
function bodyFor(document: SheetDocument, { name, document: given, keys }: GivenPart): string {
  const source = valueSource(given, [name]) ?? '{}';
  if (scalarSource(document, 'a') === 'a') return source;
  return flowMap(
    document,
    keys.map((key): [string, string] => [key, scalarSource(document, scalarAt(given, [name, key]) ?? '')]),
  );
}

function newPart(text: string, verb: string, document: SheetDocument): GivenPart | VerbFault {
  const given = givenPart(text, verb);
  if (given instanceof VerbFault || !entryKeys(document, 'parts').includes(given.name)) return given;
  return new VerbFault(
    'duplicate-designator',
    `parts.${given.name}`,
    given.name,
    `There is a part "${given.name}" already; give the new one another name.`,
  );
}

export function tack(document: SheetDocument, text: string): string | VerbFault {
  const given = newPart(text, 'tack', document);
  if (given instanceof VerbFault) return given;
  return addPair(document, ['parts'], given.name, bodyFor(document, given)) ?? cannotEdit(document, ['parts']);
}

/** Two connections of a part with two ends, in order; null for other kinds. */
function twoEnds(kind: PartKind | undefined): readonly [string, string] | null {
  if (kind === undefined) return null;
  const { connections } = PART_RULES[kind];
  return connections.length === 2 ? [connections[0] ?? '', connections[1] ?? ''] : null;
}

export function insert(document: SheetDocument, text: string): string | VerbFault {
  const given = newPart(text, 'insert', document);
  if (given instanceof VerbFault) return given;
  const { name } = given;
  const ends = twoEnds(kindAmong(given.keys));
  const at = scalarAt(given.document, [name, 'at']) ?? '';
  if (ends === null)
    return new VerbFault(
      'not-a-part',
      `parts.${name}`,
      name,
      `${name} cannot be put in series: only a part with two ends can; tack it instead.`,
    );
  const steps = at.startsWith('drive.') || at === 'output' ? at.split('.') : ['parts', ...at.split('.')];
  const old = scalarAt(document, steps);
  if (old === null || (steps[0] === 'parts' && !isTerminal(document, steps))) return noTerminal(document, at, name);
  const fresh = freshNode(document, at.replaceAll('.', '-'));
  // The part leads from the old node to the new one, but with the generator, which feeds in through it.
  const [from, to] = steps[0] === 'drive' ? [fresh, old] : [old, fresh];
  const without = removePair(given.document, [name, 'at']);
  const bare = without === null ? null : readDocument(without);
  const first = bare === null ? null : addPair(bare, [name], ends[0], scalarSource(bare, from));
  const second = first === null ? null : addPair(readDocument(first), [name], ends[1], scalarSource(document, to));
  const complete = second === null ? null : readDocument(second);
  if (complete === null)
    return new VerbFault(
      'not-a-part',
      `parts.${name}`,
      name,
      `${name} cannot be inserted; write it as R9: { resistor: 100, at: Q1.base }.`,
    );
  const moved = replaceValue(document, steps, scalarSource(document, fresh));
  if (moved === null) return cannotEdit(document, steps);
  const body = bodyFor(document, { name, document: complete, keys: keysAt(complete, [name]) ?? [] });
  return addPair(readDocument(moved), ['parts'], name, body) ?? cannotEdit(document, ['parts']);
}

function isTerminal(document: SheetDocument, [, part = '', terminal = '']: readonly string[]): boolean {
  const kind = kindAmong(keysAt(document, ['parts', part]) ?? []);
  return kind !== undefined && PART_RULES[kind].connections.includes(terminal);
}

function noTerminal(document: SheetDocument, at: string, name: string): VerbFault {
  const [part = '', terminal = ''] = at.split('.');
  const kind = kindAmong(keysAt(document, ['parts', part]) ?? []);
  if (kind === undefined) {
    return new VerbFault(
      'unknown-terminal',
      `parts.${part}`,
      at,
      `${name} needs a terminal to be put in series with, and there is none "${at}"; write at: with a part and its connection, such as Q1.base (${suggestion(part, entryKeys(document, 'parts'))}).`,
    );
  }
  return new VerbFault(
    'unknown-terminal',
    `parts.${part}.${terminal}`,
    at,
    `${part} has no terminal "${terminal}"; ${suggestion(terminal, PART_RULES[kind].connections)}.`,
  );
}

/** A node name that the sheet does not use, nor spells alike. */
function freshNode(document: SheetDocument, wanted: string): string {
  let name = wanted;
  for (let count = 2; document.text.toLowerCase().includes(name.toLowerCase()); count += 1) name = `${wanted}-${count}`;
  return name === GROUND ? `${name}-2` : name;
}

export function swap(document: SheetDocument, text: string): string | VerbFault {
  const short = /^\s*([^\s:={}]+)\s*[=:]\s*([^{]+?)\s*$/u.exec(text);
  if (short !== null) return swapValue(document, short[1] ?? '', short[2] ?? '');
  const given = givenPart(text, 'swap');
  if (given instanceof VerbFault) return given;
  const { name } = given;
  const oldKeys = keysAt(document, ['parts', name]);
  if (oldKeys === null) return unknownName(document, 'parts', name);
  const oldKind = kindAmong(oldKeys);
  const kind = kindAmong(given.keys);
  let complete = given.document;
  for (const [index, connection] of (kind === undefined ? [] : PART_RULES[kind].connections).entries()) {
    const oldConnections = oldKind === undefined ? [] : PART_RULES[oldKind].connections;
    const from = oldConnections.includes(connection)
      ? connection
      : PART_RULES[kind ?? 'resistor'].connections.length === oldConnections.length
        ? oldConnections[index]
        : undefined;
    const node = from === undefined ? null : scalarAt(document, ['parts', name, from]);
    if (given.keys.includes(connection) || node === null) continue;
    complete = readDocument(addPair(complete, [name], connection, scalarSource(complete, node)) ?? complete.text);
  }
  const body = bodyFor(document, { name, document: complete, keys: keysAt(complete, [name]) ?? [] });
  return replaceValue(document, ['parts', name], body) ?? cannotEdit(document, ['parts', name]);
}

function swapValue(document: SheetDocument, name: string, value: string): string | VerbFault {
  if (!entryKeys(document, 'parts').includes(name)) return unknownName(document, 'parts', name);
  const kind = kindAmong(keysAt(document, ['parts', name]) ?? []);
  if (kind === undefined) return cannotEdit(document, ['parts', name]);
  return replaceValue(document, ['parts', name, kind], scalarSource(document, value)) ?? cannotEdit(document, ['parts', name, kind]);
}
