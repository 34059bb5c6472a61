/** Option values that are quantities or counts: read as the sheet reads them, refused with what would be right. */
import { InvalidArgumentError } from 'commander';
import { parseQuantity, type Unit } from '../quantity/index.ts';

/** A parser for commander of a quantity of `unit` above zero: `440 Hz`, `1k`, `2e-3`. SI. */
export function positive(unit: Unit): (text: string) => number {
  return (text) => {
    const read = parseQuantity(text, unit);
    if (!read.ok) throw new InvalidArgumentError(`${read.cause}; ${read.remedy}.`);
    if (read.value <= 0) throw new InvalidArgumentError(`It must be above zero.`);
    return read.value;
  };
}

/** A parser for commander of a whole number from `least` to `most`. */
export function count(least: number, most: number): (text: string) => number {
  return (text) => {
    const value = /^\d+$/.test(text) ? Number(text) : Number.NaN;
    if (value >= least && value <= most) return value;
    throw new InvalidArgumentError(`It takes a whole number from ${least} to ${most}.`);
  };
}
