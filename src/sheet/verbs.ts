/**
 * Changing a sheet the way a circuit is changed on a bench: set, load, tack, lift, short, insert, swap. Each verb is
 * an edit of the text that keeps everything else; what it makes wrong is reported at the verb.
 */
import { formatLike, parseQuantity } from '../quantity/index.ts';
import { entryKeys, readDocument, type SheetDocument } from './document.ts';
import { addPair, behindAlias, flowMap, keysAt, removePair, renameKey, replaceValue, scalarAt, scalarSource, valueSource } from './edit.ts';
import { isName, nearestName, suggestion } from './nearest.ts';
import { amplitudeForms, PART_RULES, partKeys } from './part-rules.ts';
import { quantityAt, TOP_LEVEL_KEYS } from './paths.ts';
import { type ReadResult, readSheetDocument } from './read.ts';
import { kindAmong } from './read-part.ts';
import { GROUND, type PartKind, type Problem, type Sheet } from './types.ts';

export type Verb =
  /** A number is SI and is written in the form that stands there; text is written as given. */
  | { verb: 'set'; path: string; value: string | number }
  | { verb: 'load'; name: string }
  | { verb: 'lift' | 'short' | 'restore'; part: string }
  /** `R9: { resistor: 1k, from: a, to: b }` */
  | { verb: 'tack'; part: string }
  /** `R9: { resistor: 100, at: Q1.base }`, in series with that terminal; also `at: drive.node` and `at: output`. */
  | { verb: 'insert'; part: string }
  /** `Q1=medium-power`, `R3=330`, or a whole `R3: { capacitor: 1u }`, which keeps the connections it does not give. */
  | { verb: 'swap'; part: string };

/** What went wrong with a verb, before it has a place. `word` is the part of the verb's text to point at. */
class VerbFault {
  constructor(
    readonly code: string,
    readonly path: string,
    readonly word: string,
    readonly sentence: string,
  ) {}
}

/** The verb as it would be typed as an option of the command line. */
export function verbText(verb: Verb): string {
  if (verb.verb === 'set') return `${verb.path}=${verb.value}`;
  return verb.verb === 'load' ? verb.name : verb.part;
}

/** A readable name of the step: "lift R3", "set drive.peakToPeak to 3 V". */
export function verbName(verb: Verb): string {
  switch (verb.verb) {
    case 'set':
      return `set ${verb.path} to ${verb.value}`;
    case 'load':
      return `connect the load ${verb.name}`;
    case 'lift':
    case 'short':
    case 'restore':
      return `${verb.verb} ${verb.part}`;
    default: {
      const [name, rest = ''] = verb.part.split(/[:=]/u, 2).map((piece) => piece.trim()) as [string, string?];
      return verb.verb === 'swap' && !rest.startsWith('{') ? `swap ${name} for ${rest}` : `${verb.verb} ${name}`;
    }
  }
}

/**
 * Apply verbs in order. What cannot be done ends the row. A row may pass through sheets that could not stand alone
 * (a waveform first, its amplitude next); what is still wrong at its end is reported at the verb that brought it.
 * With errors the result has no sheet and the document as it was; the problems have `option`, their places counted in
 * the verb's text.
 */
export function applyVerbs(document: SheetDocument, verbs: readonly Verb[]): ReadResult {
  const start = readSheetDocument(document);
  if (start.sheet === null) return start;
  let { sheet } = start;
  let current: ReadResult = start;
  const broughtBy = new Map<string, Verb>();
  for (const verb of verbs) {
    const edited = editBy(current.document, sheet, verb);
    if (edited instanceof VerbFault) return { document, sheet: null, problems: [atVerb(verb, edited)] };
    if (edited === current.document.text) continue;
    current = readSheetDocument(readDocument(edited));
    sheet = current.sheet ?? sheet;
    for (const problem of errorsOf(current)) if (!broughtBy.has(keyOf(problem))) broughtBy.set(keyOf(problem), verb);
  }
  if (current.sheet !== null) return current;
  const problems = errorsOf(current).map((problem) => {
    const { code, path, sentence } = problem;
    return atVerb(broughtBy.get(keyOf(problem)) ?? verbs[verbs.length - 1], new VerbFault(code, path, lastStep(path), sentence));
  });
  return { document, sheet: null, problems };
}

function errorsOf({ problems }: ReadResult): Problem[] {
  return problems.filter(({ severity }) => severity === 'error');
}

function keyOf({ code, path }: Problem): string {
  return `${code} ${path}`;
}

function lastStep(path: string): string {
  return path.split('.').at(-1) ?? '';
}

function atVerb(verb: Verb, { code, path, word, sentence }: VerbFault): Problem {
  const text = verbText(verb);
  const at = word === '' ? -1 : text.indexOf(word);
  return { severity: 'error', code, path, place: { line: 1, column: Math.max(0, at) + 1 }, sentence, option: `--${verb.verb} ${text}` };
}

/** The text after a verb, or what is wrong with the verb. */
function editBy(document: SheetDocument, sheet: Sheet, verb: Verb): string | VerbFault {
  switch (verb.verb) {
    case 'set':
      return set(document, sheet, verb.path, verb.value);
    case 'load':
      return connect(document, verb.name);
    case 'lift':
    case 'short':
    case 'restore':
      return bench(document, verb.part, verb.verb);
    case 'tack':
      return tack(document, verb.part);
    case 'insert':
      return insert(document, verb.part);
    case 'swap':
      return swap(document, verb.part);
  }
}

function cannotEdit(document: SheetDocument, steps: readonly string[]): VerbFault {
  const path = steps.join('.');
  const why = behindAlias(document, steps) ? 'an alias stands there' : 'it is not written as a key with a value';
  return new VerbFault(
    'cannot-edit',
    path,
    steps.at(-1) ?? '',
    `${path} cannot be changed in the text: ${why}; write it out in the sheet.`,
  );
}

const COLLECTIONS = ['parts', 'supplies', 'devices', 'loads', 'heatSinks'];

function unknownName(document: SheetDocument, collection: string, name: string): VerbFault {
  const singular: Record<string, string> = { parts: 'part', supplies: 'supply', devices: 'device', loads: 'load', heatSinks: 'heat sink' };
  const known = entryKeys(document, collection);
  return new VerbFault(
    `unknown-${(singular[collection] ?? collection).replace(' ', '-')}`,
    `${collection}.${name}`,
    name,
    `There is no ${singular[collection]} "${name}" in the sheet; ${suggestion(name, known)}.`,
  );
}

/** Steps of a path that may be set, or why not. */
function settableSteps(document: SheetDocument, sheet: Sheet, path: string): string[] | VerbFault {
  const steps = path.split('.');
  const [head = '', name, key] = steps;
  if (steps.some((step) => step === ''))
    return new VerbFault('unknown-path', path, '', `"${path}" is no path; write one such as drive.peakToPeak or parts.R3.resistor.`);
  if (!TOP_LEVEL_KEYS.includes(head)) {
    const inside = COLLECTIONS.find((collection) => entryKeys(document, collection).includes(head));
    const remedy = inside === undefined ? suggestion(head, TOP_LEVEL_KEYS) : `is ${inside}.${path} meant?`;
    return new VerbFault('unknown-path', path, head, `The sheet has no "${head}"; ${remedy}${inside === undefined ? '.' : ''}`);
  }
  if (!COLLECTIONS.includes(head)) return head === 'spread' && steps.length > 2 ? [head, steps.slice(1).join('.')] : steps;
  if (name === undefined)
    return new VerbFault(
      'unknown-path',
      path,
      head,
      `"${path}" is a whole table; set one value of it, such as ${head}.${entryKeys(document, head)[0] ?? 'R1'}.`,
    );
  if (!entryKeys(document, head).includes(name)) return unknownName(document, head, name);
  if (head === 'parts') {
    const kind = kindAmong(keysAt(document, ['parts', name]) ?? []);
    if (kind === undefined) return cannotEdit(document, ['parts', name]);
    const known = Object.keys(partKeys(kind));
    if (key === undefined || !known.includes(key)) {
      return new VerbFault(
        'unknown-path',
        path,
        key ?? name,
        `${name} is ${PART_RULES[kind].noun} and has no "${key ?? ''}"; ${suggestion(key ?? '', known)}.`,
      );
    }
  }
  // A supply given as one number is its volts; so are the volts of one given as a map.
  if (head === 'supplies' && keysAt(document, [head, name]) === null && key === 'volts') return [head, name];
  if (head === 'supplies' && keysAt(document, [head, name]) !== null && key === undefined) return [head, name, 'volts'];
  return quantityAt(sheet, path) === null && head === 'devices' && steps.length < 4
    ? new VerbFault(
        'unknown-path',
        path,
        name,
        `"${path}" is not a parameter; write devices.${name}.npn.forwardBeta, with the device's own kind.`,
      )
    : steps;
}

function set(document: SheetDocument, sheet: Sheet, path: string, value: string | number): string | VerbFault {
  const steps = settableSteps(document, sheet, path);
  if (steps instanceof VerbFault) return steps;
  const [head, key = ''] = steps;
  const other =
    head === 'drive' && (amplitudeForms as readonly string[]).includes(key)
      ? (keysAt(document, ['drive']) ?? []).find((each) => each !== key && (amplitudeForms as readonly string[]).includes(each))
      : undefined;
  const target = other === undefined ? document : readDocument(renameKey(document, ['drive', other], key) ?? document.text);
  const unit = quantityAt(sheet, path)?.unit;
  const before = scalarAt(target, steps) ?? '';
  const written = typeof value === 'number' ? (unit === undefined ? String(value) : formatLike(before, value, unit)) : value.trim();
  const celsius =
    typeof value === 'string' &&
    unit === 'temperature' &&
    !parseQuantity(written, unit).ok &&
    parseQuantity(written, unit, { bareCelsius: true }).ok;
  const source = /^[[{]/.test(written) ? written : scalarSource(target, celsius ? `${written} °C` : written);
  return put(target, steps, source) ?? cannotEdit(target, steps);
}

/** Put a value at a path: in place of what stands there, or as a new key of the deepest map on the way. */
function put(document: SheetDocument, steps: readonly string[], source: string): string | null {
  const parent = steps.slice(0, -1);
  const key = steps.at(-1) ?? '';
  const keys = keysAt(document, parent);
  if (keys !== null) return keys.includes(key) ? replaceValue(document, steps, source) : addPair(document, parent, key, source);
  if (behindAlias(document, parent) || parent.length === 0) return null;
  const single = scalarAt(document, parent);
  // `vcc: 12 V` becomes `vcc: { volts: 12 V, resistance: 0.3 }`; `none: open` gives way to what is set.
  const kept: [string, string][] =
    parent[0] === 'supplies' && parent.length === 2 && single !== null ? [['volts', scalarSource(document, single)]] : [];
  return put(document, parent, flowMap(document, [...kept, [key, source]]));
}

function connect(document: SheetDocument, name: string): string | VerbFault {
  if (!entryKeys(document, 'loads').includes(name)) return unknownName(document, 'loads', name);
  if (scalarAt(document, ['load']) === name) return document.text;
  const source = scalarSource(document, name);
  const edited =
    keysAt(document, [])?.includes('load') === true
      ? replaceValue(document, ['load'], source)
      : addPair(document, [], 'load', source, 'loads');
  return edited ?? cannotEdit(document, ['load']);
}

const FLAGS = { lift: 'lifted', short: 'shorted' } as const;

/** Lift and short are keys of the part, one at a time; restore takes both away. */
function bench(document: SheetDocument, part: string, verb: 'lift' | 'short' | 'restore'): string | VerbFault {
  if (!entryKeys(document, 'parts').includes(part)) return unknownName(document, 'parts', part);
  const steps = ['parts', part];
  let current = document;
  for (const [each, flag] of Object.entries(FLAGS)) {
    if (each === verb || keysAt(current, steps)?.includes(flag) !== true) continue;
    const without = removePair(current, [...steps, flag]);
    if (without === null) return cannotEdit(current, [...steps, flag]);
    current = readDocument(without);
  }
  if (verb === 'restore') return current.text;
  return put(current, [...steps, FLAGS[verb]], 'true') ?? cannotEdit(current, steps);
}

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

function tack(document: SheetDocument, text: string): string | VerbFault {
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

function insert(document: SheetDocument, text: string): string | VerbFault {
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

function swap(document: SheetDocument, text: string): string | VerbFault {
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

/**
 * Read `PATH=VALUE` of a `--set` option. Without an equals sign the result is a problem with its place in the option.
 */
export function parseSet(text: string): Verb | Problem {
  const at = text.indexOf('=');
  if (at > 0 && at < text.length - 1) return { verb: 'set', path: text.slice(0, at).trim(), value: text.slice(at + 1).trim() };
  const near = nearestName(text.split('.')[0] ?? '', TOP_LEVEL_KEYS);
  const example = near === 'parts' ? 'parts.R3.resistor=330' : 'drive.peakToPeak=3V';
  return {
    severity: 'error',
    code: 'not-a-setting',
    path: '',
    place: { line: 1, column: 1 },
    sentence: `"${text}" does not say which value to set to what; write it as ${example}.`,
    option: `--set ${text}`,
  };
}
