/** The verbs that change keys: set, load, lift, short, restore. */
import { formatLike, parseQuantity } from '../quantity/index.ts';
import { entryKeys, readDocument, type SheetDocument } from './document.ts';
import { addPair, behindAlias, flowMap, keysAt, removePair, renameKey, replaceValue, scalarAt, scalarSource } from './edit.ts';
import { suggestion } from './nearest.ts';
import { amplitudeForms, PART_RULES, partKeys } from './part-rules.ts';
import { quantityAt, TOP_LEVEL_KEYS } from './paths.ts';
import { kindAmong } from './read-part.ts';
import type { Sheet } from './types.ts';
import { COLLECTIONS, cannotEdit, unknownName, VerbFault } from './verb.ts';

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

export function set(document: SheetDocument, sheet: Sheet, path: string, value: string | number): string | VerbFault {
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

export function connect(document: SheetDocument, name: string): string | VerbFault {
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
export function bench(document: SheetDocument, part: string, verb: 'lift' | 'short' | 'restore'): string | VerbFault {
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
