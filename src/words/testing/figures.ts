/** For tests: finds every figure in a sentence, and checks that each is a figure of the object it was made from. */
import { say, type Unit } from '../numbers.ts';

const UNITS: readonly Unit[] = ['V', 'A', 'Ω', 'F', 'H', 'Hz', 's', 'W', 'S', 'K/W', '°C', 'dB', '°', 'share', 'number'];

/** Designators, terms and names with digits in them that are no figures. */
const NOT_FIGURES = /\b[A-Z]{1,2}\d+\b|°C\b(?=$)/g;

const FIGURE = /[−-]?\d+(?:\.\d+)?(?:\u00a0×\u00a010[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+)?(?:\u00a0[A-Za-zµΩ%°][A-Za-z/°√Ω]*|°)?/g;

/** The figures of some sentences as printed: `−0.252 V`, `45 %`. */
export function figuresIn(sentences: readonly string[]): string[] {
  return sentences.flatMap((text) => text.replace(NOT_FIGURES, '').match(FIGURE) ?? []);
}

function numbersOf(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  if (Array.isArray(value)) return value.flatMap(numbersOf);
  if (value !== null && typeof value === 'object') return Object.values(value).flatMap(numbersOf);
  return [];
}

/** Every way in which the numbers of an object may be printed, in any unit, with its sign or without. */
function printings(value: unknown): Set<string> {
  const printed = new Set<string>();
  for (const number of numbersOf(value)) {
    for (const unit of UNITS) {
      printed.add(say(number, unit));
      printed.add(say(Math.abs(number), unit));
    }
  }
  return printed;
}

/** The figures that are said but stand in none of the objects: must be empty. */
export function inventedFigures(sentences: readonly string[], ...objects: readonly unknown[]): string[] {
  const allowed = printings(objects);
  return figuresIn(sentences).filter((figure) => !allowed.has(figure.trim()));
}
