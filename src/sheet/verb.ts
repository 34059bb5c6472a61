/** The bench verbs as values: what can be done to a sheet, how it is typed, and what it is called. */
import { entryKeys, type SheetDocument } from './document.ts';
import { behindAlias } from './edit.ts';
import { nearestName, suggestion } from './nearest.ts';
import { TOP_LEVEL_KEYS } from './paths.ts';
import type { Problem } from './types.ts';

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
export class VerbFault {
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

export function cannotEdit(document: SheetDocument, steps: readonly string[]): VerbFault {
  const path = steps.join('.');
  const why = behindAlias(document, steps) ? 'an alias stands there' : 'it is not written as a key with a value';
  return new VerbFault(
    'cannot-edit',
    path,
    steps.at(-1) ?? '',
    `${path} cannot be changed in the text: ${why}; write it out in the sheet.`,
  );
}

export const COLLECTIONS = ['parts', 'supplies', 'devices', 'loads', 'heatSinks'];

export function unknownName(document: SheetDocument, collection: string, name: string): VerbFault {
  const singular: Record<string, string> = { parts: 'part', supplies: 'supply', devices: 'device', loads: 'load', heatSinks: 'heat sink' };
  const known = entryKeys(document, collection);
  return new VerbFault(
    `unknown-${(singular[collection] ?? collection).replace(' ', '-')}`,
    `${collection}.${name}`,
    name,
    `There is no ${singular[collection]} "${name}" in the sheet; ${suggestion(name, known)}.`,
  );
}
