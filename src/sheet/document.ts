/**
 * A sheet as its author wrote it: the text, its YAML tree, and places by path. A document is a value and is never
 * changed; edits make another one from changed text (`edit.ts`), so that every byte that was not meant stays.
 */
import {
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  Lexer,
  LineCounter,
  type Node,
  type Pair,
  parseDocument,
  type YAMLMap,
} from 'yaml';
import type { Place, Problem } from './types.ts';

export interface SheetDocument {
  readonly text: string;
  /** The YAML tree; null where the text is refused before it is read (too long, nested too deep). */
  readonly yaml: Document.Parsed | null;
  readonly lines: LineCounter;
  /** What is wrong with it as YAML. */
  readonly problems: readonly Problem[];
}

// Bounds for untrusted text: a sheet of thirty transistors has some 10 000 characters; its nesting is about six.
const LONGEST_TEXT = 100_000;
const DEEPEST_INDENT = 200;
const DEEPEST_BRACKETS = 60;
const MOST_ALIASES = 100;
const MOST_YAML_PROBLEMS = 20;

/** Read text as YAML 1.2 (JSON too). Never throws; problems carry line and column. */
export function readDocument(text: string): SheetDocument {
  const lines = new LineCounter();
  const refusal = tooMuch(text);
  if (refusal !== null) return { text, yaml: null, lines, problems: [refusal] };
  const yaml = parseDocument(text, {
    version: '1.2',
    schema: 'core',
    lineCounter: lines,
    prettyErrors: false,
    uniqueKeys: false, // reported by `duplicateKeys`, at both places
    stringKeys: true,
    keepSourceTokens: false,
    logLevel: 'error', // `silent` would also pass over a second document
  });
  const faults = [...yaml.errors, ...yaml.warnings].slice(0, MOST_YAML_PROBLEMS);
  const problems = faults.map(
    (fault): Problem => problemAt(placeIn(lines, fault.pos[0]), '', 'not-yaml', yamlSentence(fault.code, fault.message)),
  );
  if (problems.length === 0) problems.push(...duplicateKeys(yaml.contents, lines));
  return { text, yaml, lines, problems };
}

/** The text of a document, byte for byte. */
export function writeSheet(document: SheetDocument): string {
  return document.text;
}

function problemAt(place: Place, path: string, code: string, sentence: string): Problem {
  return { severity: 'error', code, path, place, sentence };
}

/** Refuse what could only be a mistake or an attack, before a parser that recurses sees it. */
function tooMuch(text: string): Problem | null {
  if (text.length > LONGEST_TEXT) {
    return problemAt(
      { line: 1, column: 1 },
      '',
      'too-long',
      `The sheet has ${text.length} characters, and at most ${LONGEST_TEXT} are read; keep captures and lessons in files of their own.`,
    );
  }
  let line = 0;
  for (const content of text.split('\n')) {
    line += 1;
    const indent = /^(?:[\s]|[-?:](?=\s))*/u.exec(content)?.[0].length ?? 0;
    if (indent > DEEPEST_INDENT) {
      return problemAt(
        { line, column: DEEPEST_INDENT },
        '',
        'too-deep',
        `This line is indented by more than ${DEEPEST_INDENT} columns; a sheet needs some ten.`,
      );
    }
  }
  return tooManyBrackets(text);
}

function tooManyBrackets(text: string): Problem | null {
  let depth = 0;
  let line = 1;
  for (const token of new Lexer().lex(text)) {
    if (token === '[' || token === '{') depth += 1;
    else if (token === ']' || token === '}') depth = Math.max(0, depth - 1);
    if (depth > DEEPEST_BRACKETS) {
      return problemAt(
        { line, column: 1 },
        '',
        'too-deep',
        `Brackets are nested more than ${DEEPEST_BRACKETS} deep here; a sheet needs some six.`,
      );
    }
    for (let at = token.indexOf('\n'); at >= 0; at = token.indexOf('\n', at + 1)) line += 1;
  }
  return null;
}

/** The parser's faults in our words, each with what would be right. */
function yamlSentence(code: string, message: string): string {
  switch (code) {
    case 'TAB_AS_INDENT':
      return 'A tab indents this line; YAML allows spaces only, so replace the tab by spaces.';
    case 'BAD_INDENT':
      return 'This line is indented otherwise than its neighbours; give the keys of one map the same indentation.';
    case 'MISSING_CHAR':
      return `Something is not closed or is missing (${message.split('\n')[0]}); close the quote or bracket, or put the missing sign.`;
    case 'BLOCK_AS_IMPLICIT_KEY':
    case 'BLOCK_IN_FLOW':
    case 'MULTILINE_IMPLICIT_KEY':
      return 'A map begins where a value was expected; put the keys on lines of their own, or all of them in { }.';
    case 'MULTIPLE_DOCS':
      return 'The file holds more than one document; keep one sheet in a file.';
    case 'TAG_RESOLVE_FAILED':
      return 'A tag (a word after "!") stands here; sheets use none, so leave it out.';
    case 'NON_STRING_KEY':
      return 'A key must be a plain word; write it without brackets.';
    case 'BAD_ALIAS':
      return `An alias or anchor is wrong here (${message.split('\n')[0]}); write the value out.`;
    default:
      return `This is not YAML: ${lowerFirst(message.split('\n')[0] ?? '')}; look at the colons, commas and brackets here.`;
  }
}

function lowerFirst(text: string): string {
  return text.slice(0, 1).toLowerCase() + text.slice(1);
}

/** A key given twice in one map is reported at both places. */
function duplicateKeys(root: Node | null, lines: LineCounter): Problem[] {
  const found: Problem[] = [];
  const walk = (node: unknown, path: string): void => {
    if (isSeq(node)) for (const [index, item] of node.items.entries()) walk(item, join(path, String(index)));
    if (!isMap(node)) return;
    const first = new Map<string, number>();
    for (const pair of node.items) {
      const key = keyText(pair);
      const at = offsetOf(pair.key);
      const before = first.get(key);
      if (before === undefined) first.set(key, at);
      else found.push(...twice(key, join(path, key), placeIn(lines, before), placeIn(lines, at)));
      walk(pair.value, join(path, key));
    }
  };
  walk(root, '');
  return found;
}

function twice(key: string, path: string, first: Place, second: Place): Problem[] {
  const what = path.startsWith('parts.') && path.split('.').length === 2 ? 'designator' : 'key';
  const code = `duplicate-${what}`;
  return [
    problemAt(first, path, code, `The ${what} "${key}" stands here and again on line ${second.line}; rename or remove one of them.`),
    problemAt(second, path, code, `The ${what} "${key}" stands here and before on line ${first.line}; rename or remove one of them.`),
  ];
}

/** Text of a pair's key as written; empty where it has none. */
export function keyText(pair: Pair<unknown, unknown>): string {
  return isScalar(pair.key) ? (pair.key.source ?? String(pair.key.value)) : '';
}

/** Offset of a node in the text; 0 where it has none. */
export function offsetOf(node: unknown): number {
  return isScalar(node) || isMap(node) || isSeq(node) || isAlias(node) ? (node.range?.[0] ?? 0) : 0;
}

export function placeIn(lines: LineCounter, offset: number): Place {
  const { line, col } = lines.linePos(offset);
  return { line: Math.max(1, line), column: Math.max(1, col) };
}

export function join(path: string, key: string): string {
  return path === '' ? key : `${path}.${key}`;
}

/** What an alias stands for (one step of many is enough: an alias to an alias is none); other nodes as they are. */
export function resolved(document: SheetDocument, node: unknown): Node | null {
  if (isAlias(node)) return (document.yaml === null ? undefined : node.resolve(document.yaml)) ?? null;
  return isScalar(node) || isMap(node) || isSeq(node) ? node : null;
}

/** The pair under `key` of a map. */
export function pairOf(map: YAMLMap, key: string): Pair<unknown, unknown> | undefined {
  return map.items.find((pair) => keyText(pair) === key);
}

/** The value of a top-level key of the sheet, its alias resolved. */
export function topLevel(document: SheetDocument, key: string): Node | null {
  const root = document.yaml?.contents ?? null;
  return isMap(root) ? resolved(document, pairOf(root, key)?.value) : null;
}

/** The keys written under a top-level key of the sheet. */
export function entryKeys(document: SheetDocument, key: string): string[] {
  const value = topLevel(document, key);
  return isMap(value) ? value.items.map(keyText) : [];
}

/** The pair or list item at a dotted path (`parts.R3.resistor`, `captures.0.file`), as deep as it exists. */
function descend(document: SheetDocument, path: string): { offset: number; complete: boolean } {
  let node: Node | null = document.yaml?.contents ?? null;
  let offset = offsetOf(node);
  let rest = path;
  while (rest !== '') {
    const target: Node | null = resolved(document, node);
    const step = isMap(target) ? stepInMap(target, rest) : null;
    if (step !== null) {
      const value = resolved(document, step.pair.value);
      offset = isScalar(value) && value.source !== '' ? offsetOf(step.pair.value) : offsetOf(step.pair.key);
      node = value;
      rest = step.rest;
      continue;
    }
    const [head, ...tail] = rest.split('.') as [string, ...string[]];
    const item: unknown = isSeq(target) && /^\d+$/.test(head) ? target.items[Number(head)] : undefined;
    if (item === undefined) return { offset, complete: false };
    node = resolved(document, item);
    offset = offsetOf(item);
    rest = tail.join('.');
  }
  return { offset, complete: true };
}

/** Keys of `spread` hold dots themselves, so the longest key that begins the rest of a path is taken. */
function stepInMap(map: YAMLMap, rest: string): { pair: Pair<unknown, unknown>; rest: string } | null {
  const pair =
    map.items.find((candidate) => keyText(candidate) === rest) ?? map.items.find((candidate) => rest.startsWith(`${keyText(candidate)}.`));
  return pair === undefined ? null : { pair, rest: rest.slice(keyText(pair).length + 1) };
}

/**
 * Where a dotted path stands in the text: the place of a single value, the key of a map; for what is not there, the
 * place of the deepest part of the path that is. Lines and columns count from 1.
 */
export function placeOf(document: SheetDocument, path: string): Place {
  return placeIn(document.lines, descend(document, path).offset);
}

/** Whether the path is written in the document. */
export function isWritten(document: SheetDocument, path: string): boolean {
  return descend(document, path).complete;
}

/** How many aliases a document may use; beyond that it is refused. */
export function tooManyAliases(document: SheetDocument): boolean {
  return (document.text.match(/(^|[\s[{,])\*[^\s*]/gmu) ?? []).length > MOST_ALIASES && hasAlias(document.yaml?.contents ?? null);
}

function hasAlias(node: unknown): boolean {
  if (isAlias(node)) return true;
  if (isMap(node)) return node.items.some((pair) => hasAlias(pair.value));
  return isSeq(node) && node.items.some(hasAlias);
}
