/**
 * Edits of a sheet's text by splicing: only the bytes that an edit means are changed, so comments, order, alignment
 * and the author's way of writing everything else stay. Each edit gives the new text, or null where the place cannot
 * be edited (it is not there, or an alias stands for it).
 */
import { isAlias, isMap, isScalar, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import { keyText, offsetOf, pairOf, type SheetDocument } from './document.ts';

type Steps = readonly string[];

/** The map at a path of keys, aliases not followed: an edit behind one would change other places too. */
function mapAt(document: SheetDocument, steps: Steps): YAMLMap | null {
  let node: unknown = document.yaml?.contents ?? null;
  for (const step of steps) node = isMap(node) ? pairOf(node, step)?.value : null;
  return isMap(node) ? node : null;
}

function pairAt(document: SheetDocument, steps: Steps): { map: YAMLMap; pair: Pair<unknown, unknown> } | null {
  const map = mapAt(document, steps.slice(0, -1));
  const pair = map === null ? undefined : pairOf(map, steps.at(-1) ?? '');
  return map === null || pair === undefined ? null : { map, pair };
}

/** Whether an alias stands somewhere on the way to a path, or at its end. */
export function behindAlias(document: SheetDocument, steps: Steps): boolean {
  let node: unknown = document.yaml?.contents ?? null;
  for (const step of steps) {
    if (isAlias(node)) return true;
    node = isMap(node) ? pairOf(node, step)?.value : null;
  }
  return isAlias(node);
}

/** The keys of the map at a path, null where there is no map. */
export function keysAt(document: SheetDocument, steps: Steps): string[] | null {
  return mapAt(document, steps)?.items.map(keyText) ?? null;
}

/** The single value at a path as it is written (quotes taken off), null where there is none. */
export function scalarAt(document: SheetDocument, steps: Steps): string | null {
  const value = pairAt(document, steps)?.pair.value;
  if (!isScalar(value)) return null;
  return typeof value.value === 'string' ? value.value : (value.source ?? null);
}

/** Whether the sheet is written as JSON, so that keys and texts need double quotes. */
function isJson(document: SheetDocument): boolean {
  const root = document.yaml?.contents ?? null;
  return isMap(root) && root.flow === true && isScalar(root.items[0]?.key) && root.items[0].key.type === 'QUOTE_DOUBLE';
}

const PLAIN = /^[\p{L}\p{N}_+.°µμΩ-][\p{L}\p{N}_+.°µμΩ%/ -]*$/u;

/** A single value as text of the sheet: bare where that is safe, else in double quotes. */
export function scalarSource(document: SheetDocument, value: string): string {
  if (isJson(document)) return /^(-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?|true|false)$/.test(value) ? value : JSON.stringify(value);
  const safe = PLAIN.test(value) && !value.endsWith(' ') && !/^(-+|\.+)(\s|$)/u.test(value);
  return safe ? value : JSON.stringify(value);
}

function keySource(document: SheetDocument, key: string): string {
  return isJson(document) ? JSON.stringify(key) : key;
}

/** A pair as text; `source` is already text of the sheet. */
function pairSource(document: SheetDocument, key: string, source: string): string {
  return `${keySource(document, key)}: ${source}`;
}

/** A map in braces from keys with values that are already text of the sheet. */
export function flowMap(document: SheetDocument, pairs: readonly (readonly [string, string])[]): string {
  return pairs.length === 0 ? '{}' : `{ ${pairs.map(([key, source]) => pairSource(document, key, source)).join(', ')} }`;
}

function splice(text: string, start: number, end: number, replacement: string): string {
  return text.slice(0, start) + replacement + text.slice(end);
}

/** Where a node's text ends: of block maps and lists, where their last entry does. */
function endOf(node: unknown): number | null {
  if (isMap(node) && node.flow !== true) return endOfPair(node.items.at(-1));
  if (isSeq(node) && node.flow !== true) return endOf(node.items.at(-1));
  return (node as Node | null)?.range?.[1] ?? null;
}

function endOfPair(pair: Pair<unknown, unknown> | undefined): number | null {
  if (pair === undefined) return null;
  return pair.value === null ? endOf(pair.key) : endOf(pair.value);
}

/** Put `source` in the place of the value at a path. */
export function replaceValue(document: SheetDocument, steps: Steps, source: string): string | null {
  const found = pairAt(document, steps);
  if (found === null || isAlias(found.pair.value)) return null;
  const { key, value } = found.pair;
  const { text } = document;
  const keyEnd = endOf(key);
  if (keyEnd === null) return null;
  if (value === null) return splice(text, keyEnd, keyEnd, `: ${source}`);
  const end = endOf(value);
  const colon = text.indexOf(':', keyEnd) + 1;
  if (end === null || colon === 0) return null;
  if (isScalar(value) && value.range?.[0] === value.range?.[1]) return splice(text, colon, colon, ` ${source}`);
  const inPlace =
    (isScalar(value) && value.type !== 'BLOCK_LITERAL' && value.type !== 'BLOCK_FOLDED') ||
    ((isMap(value) || isSeq(value)) && value.flow === true);
  const start = inPlace ? offsetOf(value) : colon;
  const tail = text.slice(start, end).endsWith('\n') ? lineEnd(text) : '';
  return splice(text, start, end, `${inPlace ? '' : ' '}${source}${tail}`);
}

function lineEnd(text: string): string {
  return text.includes('\r\n') ? '\r\n' : '\n';
}

/** Add a key to the map at a path, behind the key `after` where that is there, else as the last one. */
export function addPair(document: SheetDocument, steps: Steps, key: string, source: string, after?: string): string | null {
  const map = mapAt(document, steps);
  if (map === null || map.range == null) return null;
  const { text } = document;
  const pair = pairSource(document, key, source);
  if (map.items.length === 0) return splice(text, map.range[0], map.range[1], `{ ${pair} }`);
  const before = (after === undefined ? undefined : pairOf(map, after)) ?? map.items[map.items.length - 1];
  const end = endOfPair(before);
  if (end === null) return null;
  return map.flow === true ? addToFlow(text, before, end, pair) : addToBlock(text, map, end, pair);
}

/** In braces: on a line of its own where its neighbour has one, else behind a comma. */
function addToFlow(text: string, before: Pair<unknown, unknown>, end: number, pair: string): string {
  const lineStart = text.lastIndexOf('\n', offsetOf(before.key) - 1) + 1;
  const indent = text.slice(lineStart, offsetOf(before.key));
  const ownLine = lineStart > 0 && /^[ \t]*$/.test(indent);
  return splice(text, end, end, ownLine ? `,${lineEnd(text)}${indent}${pair}` : `, ${pair}`);
}

function addToBlock(text: string, map: YAMLMap, end: number, pair: string): string | null {
  const first = offsetOf(map.items[0]?.key);
  const lineStart = text.lastIndexOf('\n', first - 1) + 1;
  const indent = text.slice(lineStart, first);
  if (!/^ *$/.test(indent)) return null;
  const at = lineAfter(text, end);
  const open = at > 0 && text[at - 1] !== '\n';
  return splice(text, at, at, `${open ? lineEnd(text) : ''}${indent}${pair}${open ? '' : lineEnd(text)}`);
}

/** Start of the line after an offset; of one that is itself at a line's start, that. */
function lineAfter(text: string, offset: number): number {
  if (offset > 0 && text[offset - 1] === '\n') return offset;
  const end = text.indexOf('\n', offset);
  return end < 0 ? text.length : end + 1;
}

/** Take a key and its value out. */
export function removePair(document: SheetDocument, steps: Steps): string | null {
  const found = pairAt(document, steps);
  if (found === null) return null;
  const { map, pair } = found;
  const { text } = document;
  const index = map.items.indexOf(pair);
  const start = offsetOf(pair.key);
  const end = endOfPair(pair);
  if (end === null || map.range == null) return null;
  if (map.items.length === 1) return map.flow === true ? splice(text, map.range[0], map.range[1], '{}') : null;
  if (map.flow !== true) return splice(text, text.lastIndexOf('\n', start - 1) + 1, lineAfter(text, end), '');
  if (index === 0) return splice(text, start, offsetOf(map.items[1].key), '');
  return splice(text, endOfPair(map.items[index - 1]) ?? start, end, '');
}

/** Give a key another name, its value kept. */
export function renameKey(document: SheetDocument, steps: Steps, key: string): string | null {
  const node = pairAt(document, steps)?.pair.key;
  const end = endOf(node);
  if (!isScalar(node) || end === null) return null;
  return splice(document.text, offsetOf(node), end, keySource(document, key));
}

/** The text of the value at a path, for putting it elsewhere. Null where it takes more than one line. */
export function valueSource(document: SheetDocument, steps: Steps): string | null {
  const value = pairAt(document, steps)?.pair.value;
  const end = endOf(value);
  if (value == null || end === null) return null;
  const source = document.text.slice(offsetOf(value), end);
  return source.includes('\n') ? null : source;
}
