/** Colour in a terminal, only when asked for: select graphic rendition of ECMA-48 (ISO 6429), the eight plain colours. */

export type Ink = 'plain' | 'bold' | 'faint' | 'volt' | 'amp' | 'warn' | 'good';

const CODES: Readonly<Record<Exclude<Ink, 'plain'>, string>> = {
  bold: '1',
  faint: '2',
  volt: '34',
  amp: '33',
  warn: '31',
  good: '32',
};

/** `text` in an ink; unchanged without colour. */
export function inked(text: string, ink: Ink, colour: boolean): string {
  return !colour || ink === 'plain' || text === '' ? text : `\u001b[${CODES[ink]}m${text}\u001b[0m`;
}
