/**
 * Rules: what may stand at a place of a sheet. A rule reads a YAML node into a typed value, reporting everything
 * that is wrong with place and remedy, and gives its JSON Schema, so that reader and published schema cannot part.
 */
import { isScalar, type Node } from 'yaml';
import type { Unit } from '../quantity/index.ts';
import { offsetOf, placeIn, placeOf, resolved, type SheetDocument } from './document.ts';
import type { Problem } from './types.ts';

export type JsonSchema = { readonly [key: string]: unknown };

/** Where a rule reads: the node (null where nothing is written), its dotted path, and an offset for messages. */
export interface Spot {
  node: Node | null;
  path: string;
  offset: number;
}

export interface Rule<T> {
  read(spot: Spot, log: Log): T | undefined;
  readonly schema: JsonSchema;
  /** Of quantities: the unit. */
  readonly unit?: Unit;
  /** Of maps: the rules of their keys. */
  readonly keys?: Readonly<Record<string, Rule<unknown>>>;
}

/** What a rule reads, as a type. */
export type Read<R> = R extends Rule<infer T> ? T : never;

/** More than anybody reads; a bound on the work that a hostile sheet can make. */
const MOST_PROBLEMS = 500;

/** Collects problems while a document is read. */
export class Log {
  readonly problems: Problem[] = [];

  constructor(readonly document: SheetDocument) {}

  /** Report a problem at an offset of the text; returns undefined, the value of what could not be read. */
  report(offset: number, path: string, code: string, sentence: string, severity: Problem['severity'] = 'error'): undefined {
    this.add({ severity, code, path, place: placeIn(this.document.lines, offset), sentence });
    return undefined;
  }

  /** Report a problem at a dotted path. */
  reportAt(path: string, code: string, sentence: string, severity: Problem['severity'] = 'error'): undefined {
    if (this.problems.length > MOST_PROBLEMS) return undefined;
    this.add({ severity, code, path, place: placeOf(this.document, path), sentence });
    return undefined;
  }

  private add(problem: Problem): void {
    if (this.problems.length < MOST_PROBLEMS) this.problems.push(problem);
    else if (this.problems.length === MOST_PROBLEMS) {
      this.problems.push({
        severity: 'error',
        code: 'too-many-problems',
        path: '',
        place: problem.place,
        sentence: `There are more than ${MOST_PROBLEMS} problems; mend these first, the others are not listed.`,
      });
    }
  }
}

/** `parts.R4.resistor` in a sentence: "R4, resistor". */
export function spoken(path: string): string {
  const steps = path.split('.');
  const collections = ['parts', 'supplies', 'devices', 'loads', 'heatSinks'];
  if (steps.length > 1 && collections.includes(steps[0] ?? '')) steps.shift();
  return steps.length > 2 ? `${steps.slice(0, -1).join(' ')}, ${steps.at(-1)}` : steps.join(', ');
}

/** Text of a single value as written: node names and words are taken so, quoted or not. */
export function writtenText(node: Node | null): string | null {
  if (!isScalar(node)) return null;
  if (typeof node.value === 'string') return node.value;
  return node.source !== undefined && node.source !== '' ? node.source : null;
}

export function spotOf(node: unknown, path: string, fallback: number, log: Log): Spot {
  const target = resolved(log.document, node);
  const empty = target === null || (isScalar(target) && target.source === '' && target.value === null);
  return { node: target, path, offset: empty ? fallback : offsetOf(node) };
}

/** A value of a record's own, never one that every object inherits. */
export function own<T>(record: Readonly<Record<string, T>>, key: string): T | undefined {
  return Object.hasOwn(record, key) ? record[key] : undefined;
}
