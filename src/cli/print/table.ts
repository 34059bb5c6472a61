/** Small tables: figures aligned on the decimal point, units in line, columns given up from the least needed. */
import { type Ink, inked } from '../../figures/colour.ts';
import { split, type Unit } from '../../words/numbers.ts';
import { shownLength } from './text.ts';

/** A figure with an optional name of its own before it ("V_CE"), or plain text. */
export type Cell = { name?: string; digits: string; unit: string; ink?: Ink } | { text: string; ink?: Ink };

export interface Column {
  head?: string;
  cells: readonly Cell[];
  /** Columns with larger numbers are given up first where the width does not hold them all; 0 always stays. */
  spare?: number;
}

/** A figure as a cell, zeros kept so that columns align. */
export function figure(value: number | null | undefined, unit: Unit, options: { name?: string; ink?: Ink } = {}): Cell {
  return { ...split(value, unit, { zeros: 'keep' }), ...options };
}

export function word(text: string, ink?: Ink): Cell {
  return { text, ink };
}

interface Laid {
  lines: string[];
  inks: (Ink | undefined)[];
  width: number;
  numeric: boolean;
}

const GAP = 3;

function lay(column: Column): Laid {
  const names = Math.max(0, ...column.cells.map((cell) => ('text' in cell || !cell.name ? 0 : shownLength(cell.name) + 1)));
  const pieces = column.cells.map((cell) => {
    if ('text' in cell) return null;
    const [whole, decimals] = cell.digits.split('.');
    return { name: cell.name ?? '', whole, tail: decimals === undefined ? '' : `.${decimals}`, unit: cell.unit };
  });
  const most = (of: (piece: NonNullable<(typeof pieces)[number]>) => string): number =>
    Math.max(0, ...pieces.map((piece) => (piece === null ? 0 : shownLength(of(piece)))));
  // Decimal points in line mean something only where all figures have the same prefix; else the units are in line.
  const oneUnit = new Set(pieces.map((piece) => piece?.unit ?? '').filter((unit) => unit !== '')).size <= 1;
  const [whole, tail, unit] = [most((p) => (oneUnit ? p.whole : p.whole + p.tail)), oneUnit ? most((p) => p.tail) : 0, most((p) => p.unit)];
  const lines = column.cells.map((cell, k) => {
    const piece = pieces[k];
    if (piece === null) return 'text' in cell ? cell.text : '';
    const digits = oneUnit ? piece.whole.padStart(whole) + piece.tail.padEnd(tail) : (piece.whole + piece.tail).padStart(whole);
    const end = unit === 0 ? '' : `${piece.unit === '°' ? '' : ' '}${piece.unit.padEnd(unit)}`;
    return piece.name.padEnd(names) + digits + end;
  });
  const width = Math.max(shownLength(column.head ?? ''), ...lines.map(shownLength));
  return { lines, inks: column.cells.map((cell) => cell.ink), width, numeric: pieces.some((piece) => piece !== null) };
}

/** Columns kept within `width`: the one with the largest `spare` goes first. */
function fitting(columns: readonly Column[], laid: readonly Laid[], width: number): number[] {
  let kept = columns.map((_, k) => k);
  const total = (): number => kept.reduce((sum, k) => sum + laid[k].width, 0) + GAP * (kept.length - 1);
  while (total() > width) {
    const goes = kept.reduce((a, b) => ((columns[b].spare ?? 0) >= (columns[a].spare ?? 0) ? b : a));
    if ((columns[goes].spare ?? 0) === 0) break;
    kept = kept.filter((k) => k !== goes);
  }
  return kept;
}

/** The table as lines; a head line only where some column has a head. Columns without any content are left out. */
export function table(columns: readonly Column[], width: number, colour: boolean): string[] {
  const filled = columns.filter((column) => column.cells.some((cell) => ('text' in cell ? cell.text !== '' : cell.digits !== '–')));
  if (filled.length === 0) return [];
  const laid = filled.map(lay);
  const kept = fitting(filled, laid, width);
  const pad = (text: string, k: number): string => {
    const space = ' '.repeat(Math.max(0, laid[k].width - shownLength(text)));
    return laid[k].numeric ? space + text : text + space;
  };
  /** One row: nothing after its last text, so that no colour covers empty space. */
  const row = (textOf: (k: number) => string, inkOf: (k: number) => Ink): string => {
    const last = kept.findLast((k) => textOf(k) !== '');
    if (last === undefined) return '';
    const shown = kept.slice(0, kept.indexOf(last) + 1);
    return shown.map((k) => inked(k === last ? pad(textOf(k), k).trimEnd() : pad(textOf(k), k), inkOf(k), colour)).join(' '.repeat(GAP));
  };
  const lines: string[] = [];
  if (filled.some((column) => column.head)) {
    lines.push(
      row(
        (k) => filled[k].head ?? '',
        () => 'faint',
      ),
    );
  }
  const rows = Math.max(...filled.map((column) => column.cells.length));
  for (let n = 0; n < rows; n++) {
    lines.push(
      row(
        (k) => laid[k].lines[n] ?? '',
        (k) => laid[k].inks[n] ?? 'plain',
      ),
    );
  }
  return lines;
}
