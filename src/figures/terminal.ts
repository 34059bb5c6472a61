/**
 * A scene in characters: traces in braille dots (two by four to a character), axes in line-drawing characters, the same
 * patterns as on paper: '/' off, 'x' saturated, '·' breakdown. One panel under another.
 */
import { axisTitle, scaleOf, type Tick, ticksOf } from './axes.ts';
import { type Ink, inked } from './colour.ts';
import type { Dimension, Panel, Pattern, Scene, Stretch, Trace, TraceLook } from './scene.ts';
import { textOf } from './text.ts';

export interface TerminalSize {
  /** Characters to a line, default 80; at least 40. */
  columns?: number;
  /** Lines of each panel's plot, default 14. */
  rows?: number;
  colour?: boolean;
}

/** Panels lower than this, in px, get half the lines. */
const LOW_PANEL = 120;
/** Columns of a plot at least, whatever stands beside it. */
const NARROWEST = 14;
const DOTS_ACROSS = 2;
const DOTS_DOWN = 4;
const BRAILLE = 0x2800;
/** Bits of the braille pattern by column and row: ISO/IEC 11548-1 numbering, dots 1-2-3-7 left, 4-5-6-8 right. */
const BITS: readonly (readonly number[])[] = [
  [0x01, 0x02, 0x04, 0x40],
  [0x08, 0x10, 0x20, 0x80],
];
const FILL: Readonly<Record<Pattern, string>> = { off: '/', saturated: 'x', breakdown: '·' };
const FAINT_DASH: Readonly<Partial<Record<TraceLook, number>>> = { ideal: 3, second: 2, generator: 2 };

interface Cell {
  text: string;
  ink: Ink;
}

/** A plot area of characters. */
class Plot {
  readonly #bits: number[][];
  readonly #inks: Ink[][];
  readonly #cells: (Cell | null)[][];

  constructor(
    readonly columns: number,
    readonly rows: number,
  ) {
    this.#bits = Array.from({ length: rows }, () => new Array<number>(columns).fill(0));
    this.#inks = Array.from({ length: rows }, () => new Array<Ink>(columns).fill('plain'));
    this.#cells = Array.from({ length: rows }, () => new Array<Cell | null>(columns).fill(null));
  }

  /** A dot in dot coordinates, which have the origin at the top left. */
  dot(x: number, y: number, ink: Ink): void {
    const [column, row] = [Math.floor(x / DOTS_ACROSS), Math.floor(y / DOTS_DOWN)];
    if (column < 0 || column >= this.columns || row < 0 || row >= this.rows) return;
    this.#bits[row][column] |= BITS[x % DOTS_ACROSS][y % DOTS_DOWN];
    this.#inks[row][column] = ink;
  }

  /** A character behind the dots. */
  ground(column: number, row: number, text: string, ink: Ink): void {
    if (column >= 0 && column < this.columns && row >= 0 && row < this.rows) this.#cells[row][column] ??= { text, ink };
  }

  /** True where neither dots nor pattern-free letters stand yet. */
  free(column: number, row: number, length: number): boolean {
    if (row < 0 || row >= this.rows || column < 0 || column + length > this.columns) return false;
    for (let c = column; c < column + length; c++) {
      if (this.#bits[row][c] !== 0 || (this.#cells[row][c] !== null && !'/x·'.includes(this.#cells[row][c]?.text ?? ''))) return false;
    }
    return true;
  }

  /** Letters over everything. */
  write(column: number, row: number, text: string, ink: Ink): void {
    [...text].forEach((letter, k) => {
      if (row < 0 || row >= this.rows || column + k < 0 || column + k >= this.columns) return;
      this.#bits[row][column + k] = 0;
      this.#cells[row][column + k] = { text: letter, ink };
    });
  }

  line(row: number, colour: boolean): string {
    let out = '';
    for (let c = 0; c < this.columns; c++) {
      const bits = this.#bits[row][c];
      if (bits !== 0) out += inked(String.fromCharCode(BRAILLE + bits), this.#inks[row][c], colour);
      else {
        const cell = this.#cells[row][c];
        out += cell === null ? ' ' : inked(cell.text, cell.ink, colour);
      }
    }
    return out;
  }
}

function inkOf(look: TraceLook): Ink {
  if (look === 'volt') return 'volt';
  if (look === 'amp') return 'amp';
  if (look === 'asked') return 'good';
  return look === 'generator' || look === 'faint' || look === 'ideal' ? 'faint' : 'plain';
}

function drawTrace(plot: Plot, trace: Trace, x: (v: number) => number, y: (v: number) => number): void {
  const every = FAINT_DASH[trace.look] ?? 1;
  const ink = inkOf(trace.look);
  let before: [number, number] | null = null;
  let drawn = 0;
  trace.y.forEach((value, k) => {
    if (value === null || !Number.isFinite(value)) {
      before = null;
      return;
    }
    const point: [number, number] = [Math.round(x(trace.x[k])), Math.round(y(value))];
    const from: [number, number] = before ?? point;
    const steps = Math.max(Math.abs(point[0] - from[0]), Math.abs(point[1] - from[1]), 1);
    for (let j = before === null ? steps : 1; j <= steps; j++) {
      const dx = Math.round(from[0] + ((point[0] - from[0]) * j) / steps);
      const dy = Math.round(from[1] + ((point[1] - from[1]) * j) / steps);
      if (drawn % (2 * every) < every || every === 1) plot.dot(dx, dy, ink);
      drawn += 1;
    }
    before = point;
  });
}

function labelTrace(plot: Plot, trace: Trace, x: (v: number) => number, y: (v: number) => number): void {
  if (trace.label === undefined) return;
  const name = textOf(trace.label);
  for (const share of [0.3, 0.2, 0.4, 0.6, 0.75, 0.9, 0.1]) {
    const k = Math.floor(share * (trace.y.length - 1));
    const value = trace.y[k];
    if (value === null) continue;
    const column = Math.round(x(trace.x[k]) / DOTS_ACROSS);
    const row = Math.floor(y(value) / DOTS_DOWN);
    for (const [dc, dr] of [
      [1, 1],
      [1, -1],
      [-name.length - 1, -1],
      [-name.length - 1, 1],
      [2, 0],
      [0, 2],
      [0, -2],
    ]) {
      if (plot.free(column + dc - 1, row + dr, name.length + 2)) {
        plot.write(column + dc, row + dr, name, inkOf(trace.look));
        return;
      }
    }
  }
}

interface Side {
  row: number;
  text: string;
  ink: Ink;
}

/** Dimensions at the right as characters: an end mark on each level, the figure between them. */
function sideColumn(
  dimensions: readonly Dimension[],
  y: (v: number) => number,
  rows: number,
): { lines: string[]; labels: (Side | null)[] } {
  const bar: string[] = new Array<string>(rows).fill(' ');
  const labels: (Side | null)[] = new Array<Side | null>(rows).fill(null);
  for (const d of dimensions) {
    const ends = [y(d.from), y(d.to)].map((v) => Math.min(rows - 1, Math.max(0, Math.floor(v / DOTS_DOWN))));
    const [top, bottom] = [Math.min(...ends), Math.max(...ends)];
    for (let row = top; row <= bottom; row++) {
      const piece = row === top ? '┬' : row === bottom ? '┴' : '│';
      if (bar[row] === ' ') bar[row] = top === bottom ? '─' : piece;
      else if (bar[row] !== piece) bar[row] = '┼';
    }
    const label = d.lines.map(textOf).join(' ');
    const middle = Math.round((top + bottom) / 2);
    for (const shift of [0, 1, -1, 2, -2]) {
      const row = middle + shift;
      if (row >= 0 && row < rows && labels[row] === null) {
        labels[row] = { row, text: label, ink: d.tone === 'lim' ? 'warn' : 'plain' };
        break;
      }
    }
  }
  return { lines: bar, labels };
}

/** Brackets over the stretches, one line for each lane, with names in them where there is room, else behind. */
function bracketLines(stretches: readonly Stretch[], x: (v: number) => number, columns: number, colour: boolean): string[] {
  const lanes: { text: string[]; used: number }[] = [];
  for (const stretch of [...stretches].sort((a, b) => a.from - b.from)) {
    const from = Math.max(0, Math.round(x(stretch.from) / DOTS_ACROSS));
    const to = Math.min(columns - 1, Math.round(x(stretch.to) / DOTS_ACROSS) - 1);
    if (to - from < 1) continue;
    const name = stretch.label.length === 0 ? '' : ` ${stretch.label[0].text.replace(/: $/, '')} `;
    const inside = name.length <= to - from - 1;
    const start = inside ? from : Math.max(0, Math.min(from, columns - name.length));
    const end = inside ? to : Math.min(columns - 1, start + name.length - 1);
    let lane = lanes.find((one) => one.used < start);
    if (lane === undefined) {
      lane = { text: new Array<string>(columns).fill(' '), used: -1 };
      lanes.push(lane);
    }
    const ink: Ink = stretch.pattern === 'off' || stretch.pattern === 'breakdown' ? 'warn' : 'plain';
    const put = (column: number, text: string): void => {
      [...text].forEach((letter, k) => {
        if (column + k < columns) lane.text[column + k] = inked(letter, ink, colour);
      });
    };
    if (inside && stretch.bracket) {
      put(from, `├${'─'.repeat(to - from - 1)}┤`);
      put(from + Math.floor((to - from + 1 - name.length) / 2), name);
    } else put(start, name.trim() === '' ? '├┤' : name.trim());
    lane.used = Math.max(lane.used, end);
  }
  return lanes.map((lane) => lane.text.join('').trimEnd()).reverse();
}

function fill(plot: Plot, stretches: readonly Stretch[], x: (v: number) => number): void {
  for (const stretch of stretches) {
    if (stretch.pattern === null) continue;
    const from = Math.max(0, Math.round(x(stretch.from) / DOTS_ACROSS));
    const to = Math.min(plot.columns, Math.round(x(stretch.to) / DOTS_ACROSS));
    for (let row = 0; row < plot.rows; row++) {
      for (let column = from; column < to; column++) {
        const on = stretch.pattern === 'off' ? (column + row) % 3 === 0 : (column + 2 * row) % 4 === 0;
        if (on) plot.ground(column, row, FILL[stretch.pattern], 'faint');
      }
    }
  }
}

function terminalTicks(panel: Panel, rows: number): Tick[] {
  return ticksOf(panel.y, Math.max(2, Math.round(rows / 3)));
}

function panelLines(panel: Panel, columns: number, rows: number, left: number, colour: boolean): string[] {
  const of = <K extends Panel['marks'][number]['kind']>(kind: K): Extract<Panel['marks'][number], { kind: K }>[] =>
    panel.marks.filter((mark): mark is Extract<Panel['marks'][number], { kind: K }> => mark.kind === kind);
  const yTicks = terminalTicks(panel, rows);
  const outer = of('dimension').filter((d) => d.at === 'right');
  const right = outer.length === 0 ? 0 : 4 + Math.max(...outer.map((d) => d.lines.map(textOf).join(' ').length));
  const wide = Math.max(NARROWEST, columns - left - 2 - right);
  const plot = new Plot(wide, rows);
  const dotsWide = wide * DOTS_ACROSS - 1;
  const dotsHigh = rows * DOTS_DOWN - 1;
  const x = panel.x === null ? (v: number) => v * dotsWide : scaleOf(panel.x, 0, dotsWide);
  const y = scaleOf(panel.y, dotsHigh, 0);
  const rowOf = (v: number): number => Math.min(rows - 1, Math.max(0, Math.floor(y(v) / DOTS_DOWN)));
  const columnOf = (v: number): number => Math.min(wide - 1, Math.max(0, Math.round(x(v) / DOTS_ACROSS)));

  const traces = of('trace');
  for (const trace of [...traces].reverse()) drawTrace(plot, trace, x, y);
  for (const bars of of('bars')) {
    bars.y.forEach((value, k) => {
      if (value === null) return;
      for (let d = Math.round(y(value)); d <= dotsHigh; d++) plot.dot(Math.round(x(bars.x[k])), d, 'volt');
    });
  }
  for (const point of of('point')) {
    if (point.look === 'ring') plot.write(columnOf(point.x), rowOf(point.y), 'o', 'bold');
    else plot.write(columnOf(point.x), rowOf(point.y), point.look === 'triangle' ? '^' : point.look === 'cross' ? '×' : '●', 'warn');
  }
  for (const trace of traces) labelTrace(plot, trace, x, y);
  for (const point of of('point')) {
    const label = point.label === undefined ? '' : textOf(point.label);
    for (const [dc, dr] of [
      [2, 1],
      [2, -1],
      [-label.length - 1, -1],
      [-label.length - 1, 1],
      [3, 0],
    ]) {
      if (label !== '' && plot.free(columnOf(point.x) + dc - 1, rowOf(point.y) + dr, label.length + 1)) {
        plot.write(columnOf(point.x) + dc, rowOf(point.y) + dr, label, 'plain');
        break;
      }
    }
  }
  for (const guide of of('guide')) {
    if (guide.along === 'x') for (let c = 0; c < wide; c++) plot.ground(c, rowOf(guide.at), '─', guide.look === 'asked' ? 'good' : 'faint');
    else for (let r = 0; r < rows; r++) plot.ground(columnOf(guide.at), r, '┊', 'faint');
  }
  fill(plot, of('stretch'), x);

  const lines: string[] = [];
  const stretches = of('stretch').filter((s) => s.label.length > 0 || s.bracket);
  lines.push(axisTitle(panel.y));
  const margin = ' '.repeat(left + 2);
  lines.push(...bracketLines(stretches, x, wide, colour).map((line) => margin + line));
  const tickAt = new Map(yTicks.map((tick) => [rowOf(tick.value), tick.label]));
  const side = sideColumn(outer, y, rows);
  for (let row = 0; row < rows; row++) {
    const tick = tickAt.get(row);
    const edge = tick === undefined ? `${' '.repeat(left)} │` : `${tick.padStart(left)} ┤`;
    const label = side.labels[row];
    const beside = outer.length === 0 ? '' : ` ${side.lines[row]} ${label === null ? '' : inked(label.text, label.ink, colour)}`;
    lines.push((edge + plot.line(row, colour) + beside).trimEnd());
  }
  if (panel.x !== null && panel.showX) lines.push(...xAxisLines(panel.x, columnOf, wide, left, columns));
  return lines;
}

/** The rule with its ticks, the numbers, and the title at the right end. Numbers may stand beyond the plot as far as the line goes. */
function xAxisLines(axis: NonNullable<Panel['x']>, columnOf: (v: number) => number, wide: number, left: number, columns: number): string[] {
  const rule = new Array<string>(wide).fill('─');
  const room = Math.min(wide + 4, columns - left - 2);
  const numbers = new Array<string>(room).fill(' ');
  let used = -2;
  for (const tick of ticksOf(axis, Math.max(2, Math.floor(wide / 9)))) {
    const column = columnOf(tick.value);
    rule[column] = '┬';
    const start = Math.max(0, Math.min(room - tick.label.length, column - Math.floor(tick.label.length / 2)));
    if (tick.label === '' || start <= used + 1) continue;
    [...tick.label].forEach((letter, k) => {
      numbers[start + k] = letter;
    });
    used = start + tick.label.length - 1;
  }
  const margin = ' '.repeat(left + 2);
  let title = axisTitle(axis);
  if (title.length > columns) title = axisTitle({ ...axis, note: undefined });
  return [`${' '.repeat(left + 1)}└${rule.join('')}`, margin + numbers.join('').trimEnd(), title.padStart(left + 2 + wide)];
}

/** The scene as lines of text, no line longer than `columns` where that is 40 or more. */
export function toTerminal(scene: Scene, size: TerminalSize = {}): string {
  const columns = Math.max(40, size.columns ?? 80);
  const rows = size.rows ?? 14;
  const colour = size.colour ?? false;
  const lines: string[] = [];
  for (const column of scene.columns) {
    const rowsOf = (panel: Panel): number => (panel.height < LOW_PANEL ? Math.max(5, Math.round(rows / 2)) : rows);
    // Panels of one column keep their plots in line.
    const left = Math.max(2, ...column.flatMap((panel) => terminalTicks(panel, rowsOf(panel)).map((tick) => tick.label.length)));
    for (const panel of column) {
      if (lines.length > 0) lines.push('');
      lines.push(...panelLines(panel, columns, rowsOf(panel), left, colour));
    }
  }
  return `${lines.join('\n')}\n`;
}
