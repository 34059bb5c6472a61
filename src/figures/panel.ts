/** One panel: margins, axes, then marks in painting order: patterns, guides, levels, traces, points, dimensions, labels. */
import { axisTitle, scaleOf, type Tick, ticksOf } from './axes.ts';
import { dimension, extension } from './dimension.ts';
import { type Box, hatch } from './hatch.ts';
import { Occupancy, type Place, spreadOut } from './labels.ts';
import type { Dot, Shape, Stroke } from './picture.ts';
import type { Axis, Bars, Dimension, Guide, Level, Line, Panel, Point, Stretch, Tone, Trace, TraceLook } from './scene.ts';
import { balanced, plain, SIZE, widthOf } from './text.ts';

export interface Margins {
  left: number;
  right: number;
}
export interface Frame {
  left: number;
  top: number;
  width: number;
  margins: Margins;
}

const TICK_LENGTH = 5;
const TICK_GAP = 5;
/** Between the axis lines and the plot, as outward axes stand off the data. */
const STAND_OFF = 6;
const LINE_HEIGHT = 16;
const TITLE_HEIGHT = 22;
const X_TICKS_HEIGHT = 24;
const X_TITLE_HEIGHT = 18;
const DIMENSION_LANE = 16;
const DIMENSION_TEXT = 10;
const BRACKET_HEIGHT = 9;

const STROKES: Readonly<Record<TraceLook, Stroke>> = {
  volt: { tone: 'voltl', width: 2.2, round: true },
  amp: { tone: 'ampl', width: 2.2, round: true },
  second: { tone: 'ink', width: 1.6, dash: [7, 4] },
  ideal: { tone: 'ink', width: 1.1, dash: [1.5, 3], round: true },
  generator: { tone: 'ink2', width: 1 },
  asked: { tone: 'okl', width: 1.6, dash: [6, 3] },
  measured: { tone: 'capl', width: 1.6 },
  faint: { tone: 'rule', width: 1.1 },
};
const LABEL_TONE: Readonly<Record<TraceLook, Tone>> = {
  volt: 'volt',
  amp: 'amp',
  second: 'ink',
  ideal: 'ink2',
  generator: 'ink2',
  asked: 'ok',
  measured: 'cap',
  faint: 'ink2',
};

function only<K extends Panel['marks'][number]['kind']>(panel: Panel, kind: K): Extract<Panel['marks'][number], { kind: K }>[] {
  return panel.marks.filter((mark): mark is Extract<Panel['marks'][number], { kind: K }> => mark.kind === kind);
}

function yTicks(panel: Panel): Tick[] {
  return ticksOf(panel.y, Math.max(2, Math.round(panel.height / 34)));
}

function xTickCount(width: number): number {
  return Math.max(2, Math.round(width / 70));
}

function outerDimensions(panel: Panel): Dimension[] {
  return only(panel, 'dimension').filter((d) => d.at === 'right');
}

/** Room that a panel needs left of its plot for tick labels, and right of it for dimensions and labels at the end. */
export function marginsOf(panel: Panel, width: number): Margins {
  const widest = Math.max(0, ...yTicks(panel).map((tick) => widthOf(plain(tick.label), SIZE.tick)));
  const left = Math.ceil(widest) + TICK_GAP + TICK_LENGTH + STAND_OFF;
  let right = 12;
  for (const d of outerDimensions(panel))
    right = Math.max(right, DIMENSION_LANE + DIMENSION_TEXT + Math.max(...d.lines.map((line) => widthOf(line, SIZE.label))));
  // Half of a number may stand beyond the end of the horizontal axis.
  if (panel.x !== null && panel.showX)
    right = Math.max(
      right,
      ...ticksOf(panel.x, xTickCount(width - left - right)).map((tick) => widthOf(plain(tick.label), SIZE.tick) / 2 + 1),
    );
  for (const level of only(panel, 'level')) {
    if (level.side === 'end') right = Math.max(right, (level.right - 1) * (width - left) * 0.7 + 8 + widthOf(level.label, SIZE.label));
  }
  return { left, right: Math.ceil(right) };
}

/** Panels of one column keep their plots in line. */
export function sharedMargins(all: readonly Margins[]): Margins {
  return { left: Math.max(...all.map((m) => m.left)), right: Math.max(...all.map((m) => m.right)) };
}

/** Finite pieces of a trace in px; a gap ends a piece. */
function pieces(trace: Trace, x: (v: number) => number, y: (v: number) => number): Dot[][] {
  const found: Dot[][] = [];
  let piece: Dot[] = [];
  trace.y.forEach((value, k) => {
    if (value === null || !Number.isFinite(value)) {
      if (piece.length > 0) found.push(piece);
      piece = [];
    } else piece.push([x(trace.x[k]), y(value)]);
  });
  if (piece.length > 0) found.push(piece);
  return found;
}

interface LaidLabel {
  stretch: Stretch;
  lane: number;
  lines: Line[];
  left: number;
  right: number;
}

/** Labels over stretches: as long as there is room for, in lanes so that none touches another. */
function layStretchLabels(stretches: readonly Stretch[], x: (v: number) => number, plot: { left: number; right: number }): LaidLabel[] {
  const laid: LaidLabel[] = [];
  for (const stretch of [...stretches].sort((a, b) => a.from - b.from)) {
    const from = Math.max(plot.left, x(stretch.from));
    const to = Math.min(plot.right, x(stretch.to));
    const most = Math.max(to - from, stretch.bracket ? Math.min(320, plot.right - plot.left) : 0);
    const whole = balanced(stretch.label, most, SIZE.label);
    const lines = stretch.label.length === 0 ? [] : stretch.bracket ? whole.slice(0, 3) : [stretch.label.slice(0, 1)];
    const wide = Math.max(0, ...lines.map((line) => widthOf(line, SIZE.label)));
    let left = (from + to) / 2 - wide / 2;
    left = Math.max(plot.left - 4, Math.min(left, plot.right - wide));
    const right = left + wide;
    const spanLeft = Math.min(left, from);
    const spanRight = Math.max(right, to);
    let lane = 0;
    while (
      laid.some(
        (other) =>
          other.lane === lane &&
          spanLeft < Math.max(other.right, x(other.stretch.to)) + 8 &&
          spanRight > Math.min(other.left, x(other.stretch.from)) - 8,
      )
    )
      lane += 1;
    laid.push({ stretch, lane, lines, left, right });
  }
  return laid;
}

function text(
  line: Line,
  x: number,
  y: number,
  anchor: 'start' | 'middle' | 'end',
  tone: Tone,
  size: number = SIZE.label,
  halo = false,
  part?: string,
): Shape {
  return { kind: 'text', x, y, anchor, size, runs: line, tone, halo, part };
}

function xAxis(axis: Axis, x: (v: number) => number, plot: Box, shapes: Shape[]): void {
  const y = plot.bottom + STAND_OFF;
  const ticks = ticksOf(axis, xTickCount(plot.right - plot.left));
  const paths: Dot[][] = [
    [
      [plot.left, y],
      [plot.right, y],
    ],
  ];
  for (const tick of ticks) {
    const at = x(tick.value);
    paths.push([
      [at, y],
      [at, y + TICK_LENGTH],
    ]);
    if (tick.label !== '') shapes.push(text(plain(tick.label), at, y + TICK_LENGTH + 13, 'middle', 'ink2', SIZE.tick));
  }
  shapes.push({ kind: 'lines', paths, stroke: { tone: 'ink2', width: 1 } });
  const title = plain(axisTitle(axis));
  shapes.push(text(title, plot.right, y + TICK_LENGTH + 13 + X_TITLE_HEIGHT, 'end', 'ink2', SIZE.axisTitle));
}

function yAxis(panel: Panel, y: (v: number) => number, plot: Box, titleLeft: number, titleY: number, shapes: Shape[]): void {
  const x = plot.left - STAND_OFF;
  const paths: Dot[][] = [
    [
      [x, plot.top],
      [x, plot.bottom],
    ],
  ];
  for (const tick of yTicks(panel)) {
    const at = y(tick.value);
    paths.push([
      [x, at],
      [x - TICK_LENGTH, at],
    ]);
    if (tick.label !== '') shapes.push(text(plain(tick.label), x - TICK_LENGTH - TICK_GAP, at + 4.3, 'end', 'ink2', SIZE.tick));
  }
  shapes.push({ kind: 'lines', paths, stroke: { tone: 'ink2', width: 1 } });
  shapes.push(text(plain(axisTitle(panel.y)), titleLeft, titleY, 'start', 'ink2', SIZE.axisTitle));
}

function drawGuide(guide: Guide, x: (v: number) => number, y: (v: number) => number, plot: Box, occupancy: Occupancy): Shape[] {
  const stroke: Stroke =
    guide.look === 'zero'
      ? { tone: 'rule', width: 1 }
      : guide.look === 'asked'
        ? { tone: 'okl', width: 1.6, dash: [6, 3] }
        : { tone: 'ink2', width: 1, dash: [2, 3] };
  const path: Dot[] =
    guide.along === 'x'
      ? [
          [plot.left, y(guide.at)],
          [plot.right, y(guide.at)],
        ]
      : [
          [x(guide.at), plot.top],
          [x(guide.at), plot.bottom + STAND_OFF],
        ];
  const shapes: Shape[] = [{ kind: 'lines', paths: [path], stroke }];
  if (guide.along === 'y') occupancy.addPath(path);
  if (guide.label !== undefined) {
    const wide = widthOf(guide.label, SIZE.label);
    const places: Place[] =
      guide.along === 'x'
        ? [
            { left: plot.right - wide - 2, top: y(guide.at) - 17 },
            { left: plot.left + 4, top: y(guide.at) - 17 },
            { left: plot.right - wide - 2, top: y(guide.at) + 2 },
          ]
        : [
            { left: x(guide.at) + 5, top: plot.top },
            { left: x(guide.at) - wide - 5, top: plot.top },
            { left: x(guide.at) + 5, top: plot.bottom - 18 },
            { left: x(guide.at) - wide - 5, top: plot.bottom - 18 },
          ];
    const { place, clear } = occupancy.place(places, wide, 15, plot);
    shapes.push(text(guide.label, place.left, place.top + 12, 'start', guide.look === 'asked' ? 'ok' : 'ink2', SIZE.label, !clear));
  }
  return shapes;
}

function drawPoint(point: Point, x: (v: number) => number, y: (v: number) => number, plot: Box, occupancy: Occupancy): Shape[] {
  const [px, py] = [x(point.x), y(point.y)];
  const shapes: Shape[] = [];
  if (point.look === 'ring')
    shapes.push({ kind: 'discs', centres: [[px, py]], radius: 4, fill: 'paper', stroke: { tone: 'ink', width: 1.8 } });
  else if (point.look === 'disc') shapes.push({ kind: 'discs', centres: [[px, py]], radius: 3.5, fill: 'okl' });
  else if (point.look === 'cross') {
    shapes.push({
      kind: 'lines',
      paths: [
        [
          [px - 4, py - 4],
          [px + 4, py + 4],
        ],
        [
          [px - 4, py + 4],
          [px + 4, py - 4],
        ],
      ],
      stroke: { tone: 'lim', width: 1.6 },
    });
  } else {
    const corners: Dot[] = [
      [px, py - 5],
      [px + 5, py + 4],
      [px - 5, py + 4],
    ];
    shapes.push({ kind: 'area', points: corners, fill: 'paper', stroke: { tone: 'mindl', width: 1.6 } });
  }
  occupancy.addBox({ left: px - 5, right: px + 5, top: py - 5, bottom: py + 5 });
  if (point.label !== undefined) {
    const wide = widthOf(point.label, SIZE.label);
    const places: Place[] = [
      { left: px + 9, top: py + 3 },
      { left: px + 9, top: py - 19 },
      { left: px - wide - 9, top: py - 19 },
      { left: px - wide - 9, top: py + 3 },
      { left: px + 26, top: py - 18 },
      { left: px + 44, top: py - 18 },
      { left: px - wide / 2, top: py - 24 },
      { left: px - wide / 2, top: py + 9 },
    ];
    const { place, clear } = occupancy.place(places, wide, 16, plot);
    shapes.push(text(point.label, place.left, place.top + 12, 'start', 'ink2', SIZE.label, !clear));
  }
  return shapes;
}

function drawLevel(level: Level, x: (v: number) => number, y: (v: number) => number, occupancy: Occupancy): Shape[] {
  const [left, right, at] = [x(level.left), x(level.right), y(level.y)];
  const stroke: Stroke = level.look === 'rail' ? { tone: 'ink', width: 2.4 } : { tone: 'voltl', width: 2 };
  const shapes: Shape[] = [
    {
      kind: 'lines',
      paths: [
        [
          [left, at],
          [right, at],
        ],
      ],
      stroke,
    },
  ];
  const wide = widthOf(level.label, SIZE.label);
  const [tx, ty]: Dot =
    level.side === 'end' ? [right + 6, at + 4.5] : level.side === 'above' ? [right - wide, at - 6] : [right - wide, at + 16];
  occupancy.addBox({ left: tx, right: tx + wide, top: ty - 13, bottom: ty + 4 });
  shapes.push(text(level.label, tx, ty, 'start', 'ink', SIZE.label));
  return shapes;
}

function drawBars(bars: Bars, x: (v: number) => number, y: (v: number) => number, base: number, plot: Box, occupancy: Occupancy): Shape[] {
  const shapes: Shape[] = [];
  const tops: (Dot | null)[] = bars.y.map((value, k) =>
    value === null || !Number.isFinite(value) ? null : [x(bars.x[k]), Math.min(base, y(value))],
  );
  for (const top of tops) {
    if (top === null) continue;
    const [px, py] = top;
    occupancy.addPath([
      [px, base],
      [px, py],
    ]);
    if (bars.look === 'stem') {
      shapes.push({
        kind: 'lines',
        paths: [
          [
            [px, base],
            [px, py],
          ],
        ],
        stroke: { tone: 'voltl', width: 2.2 },
      });
      shapes.push({ kind: 'discs', centres: [[px, py]], radius: 3, fill: 'voltl' });
    } else {
      const points: Dot[] = [
        [px - 8, py],
        [px + 8, py],
        [px + 8, base],
        [px - 8, base],
      ];
      shapes.push({ kind: 'area', points, fill: 'bar', stroke: { tone: 'ink2', width: 0.8 } });
    }
  }
  tops.forEach((top, k) => {
    const label = bars.labels?.[k];
    if (!label || top === null) return;
    const wide = widthOf(label, SIZE.tick);
    const places: Place[] = [
      { left: top[0] + 7, top: top[1] - 8 },
      { left: top[0] - wide / 2, top: top[1] - 22 },
      { left: top[0] - wide - 7, top: top[1] - 8 },
    ];
    const free = places.find(
      (place) =>
        occupancy.crowd({ left: place.left, top: place.top, right: place.left + wide, bottom: place.top + 15 }) === 0 &&
        place.top > plot.top - 14,
    );
    // A figure that finds no free place is left out: the axis has it.
    if (free === undefined) return;
    occupancy.addBox({ left: free.left, top: free.top, right: free.left + wide, bottom: free.top + 15 });
    shapes.push(text(label, free.left, free.top + 12, 'start', 'ink2', SIZE.tick));
  });
  return shapes;
}

/** Places for the label of a trace: along it, above and below, the right end first. */
function tracePlaces(path: readonly Dot[], wide: number): Place[] {
  const places: Place[] = [];
  for (const share of [0.97, 0.8, 0.65, 0.5, 0.35, 0.25, 0.12, 0.03]) {
    const [px, py] = path[Math.min(path.length - 1, Math.floor(share * path.length))];
    for (const [dx, dy] of [
      [-wide / 2, -21],
      [-wide / 2, 6],
      [8, -16],
      [-wide - 8, -16],
      [8, 4],
      [-wide - 8, 4],
    ])
      places.push({ left: px + dx, top: py + dy });
  }
  return places;
}

function drawDimensions(
  panel: Panel,
  x: (v: number) => number,
  y: (v: number) => number,
  plot: Box,
  occupancy: Occupancy,
  shapes: Shape[],
): void {
  const lane = plot.right + DIMENSION_LANE;
  const outer = outerDimensions(panel);
  const heightOf = (d: Dimension): number => d.lines.length * LINE_HEIGHT;
  const gap = Math.max(0, ...outer.map(heightOf)) + 4;
  // A short dimension has its arrows outside; its figure stands beside the outer tail, away from its neighbour.
  const wished = outer.map((d) => (y(d.from) + y(d.to)) / 2);
  const centres = spreadOut(wished, gap, plot.top + gap / 2, plot.bottom + gap / 2);
  const extended = new Set<number>();
  outer.forEach((d, k) => {
    for (const [value, start] of [
      [d.from, d.extendFrom?.[0]],
      [d.to, d.extendFrom?.[1]],
    ] as const) {
      if (extended.has(value)) continue;
      extended.add(value);
      shapes.push(extension(y(value), start === undefined ? plot.right + 3 : x(start), lane));
    }
    const neighbour = outer.find((other) => other !== d && (other.from === d.to || other.to === d.from));
    const shared = neighbour === undefined ? undefined : y(neighbour.from === d.to ? d.to : d.from);
    shapes.push(...dimension(lane, y(d.from), y(d.to), d.part, shared));
    d.lines.forEach((line, n) => {
      shapes.push(
        text(
          line,
          lane + DIMENSION_TEXT,
          centres[k] - heightOf(d) / 2 + n * LINE_HEIGHT + 12,
          'start',
          d.tone === 'lim' ? 'lim' : 'ink',
          SIZE.label,
          false,
          d.part,
        ),
      );
    });
  });
  for (const d of only(panel, 'dimension')) {
    if (d.at === 'right') continue;
    const px = x(d.at);
    shapes.push(...dimension(px, y(d.from), y(d.to), d.part));
    const wide = Math.max(...d.lines.map((line) => widthOf(line, SIZE.label)));
    const middle = (y(d.from) + y(d.to)) / 2;
    const places: Place[] = [0, -12, 12, -24, 24].map((shift) => ({ left: px + DIMENSION_TEXT, top: middle - heightOf(d) / 2 + shift }));
    const { place, clear } = occupancy.place(places, wide, heightOf(d), { ...plot, right: plot.right + 200 });
    d.lines.forEach((line, n) => {
      shapes.push(
        text(line, place.left, place.top + n * LINE_HEIGHT + 12, 'start', d.tone === 'lim' ? 'lim' : 'ink', SIZE.label, !clear, d.part),
      );
    });
  }
}

/** Draws one panel into `shapes` and returns its height in px. */
export function layPanel(panel: Panel, frame: Frame, shapes: Shape[]): number {
  const left = frame.left + frame.margins.left;
  const right = frame.left + frame.width - frame.margins.right;
  const x = panel.x === null ? (v: number) => left + v * (right - left) : scaleOf(panel.x, left, right);

  const stretches = only(panel, 'stretch');
  const laid = layStretchLabels(
    stretches.filter((s) => s.label.length > 0 || s.bracket),
    x,
    { left, right },
  );
  const lanes = laid.length === 0 ? 0 : Math.max(...laid.map((l) => l.lane)) + 1;
  const laneHeights = Array.from({ length: lanes }, (_, lane) =>
    Math.max(...laid.filter((l) => l.lane === lane).map((l) => l.lines.length * LINE_HEIGHT + (l.stretch.bracket ? BRACKET_HEIGHT : 2))),
  );
  const headroom = laneHeights.reduce((sum, h) => sum + h, 0);
  const titleWide = widthOf(plain(axisTitle(panel.y)), SIZE.axisTitle);
  // The axis title shares the lowest lane's height unless a label comes too near to it.
  const crossed = laid.some((l) => Math.min(l.left, x(l.stretch.from)) < frame.left + titleWide + 12);
  const top = frame.top + (crossed || lanes === 0 ? TITLE_HEIGHT : Math.max(0, TITLE_HEIGHT - headroom)) + headroom;
  const plot: Box = { left, right, top, bottom: top + panel.height };
  const y = scaleOf(panel.y, plot.bottom, plot.top);
  const occupancy = new Occupancy();

  for (const stretch of stretches) {
    const box = { left: Math.max(left, x(stretch.from)), right: Math.min(right, x(stretch.to)), top: plot.top, bottom: plot.bottom };
    if (box.right <= box.left || stretch.pattern === null) continue;
    shapes.push(...hatch(box, stretch.pattern, stretch.part));
    occupancy.addGround(box);
  }
  let above = plot.top;
  for (let lane = 0; lane < lanes; lane++) {
    for (const l of laid.filter((one) => one.lane === lane)) {
      const from = Math.max(left, x(l.stretch.from));
      const to = Math.min(right, x(l.stretch.to));
      const base = l.stretch.bracket ? above - BRACKET_HEIGHT : above - 2;
      if (l.stretch.bracket) {
        shapes.push({
          kind: 'lines',
          paths: [
            [
              [from, above - 2],
              [from, above - 8],
            ],
            [
              [from, above - 5],
              [to, above - 5],
            ],
            [
              [to, above - 8],
              [to, above - 2],
            ],
          ],
          stroke: { tone: l.stretch.pattern === null ? 'ink2' : 'lim', width: 1.2 },
          part: l.stretch.part,
        });
      }
      l.lines.forEach((line, n) => {
        const anchor = l.left <= left ? 'start' : l.right >= right ? 'end' : 'middle';
        const at = anchor === 'start' ? l.left : anchor === 'end' ? l.right : (l.left + l.right) / 2;
        shapes.push(text(line, at, base - 4 - (l.lines.length - 1 - n) * LINE_HEIGHT, anchor, 'ink2', SIZE.label, false, l.stretch.part));
      });
    }
    above -= laneHeights[lane];
  }

  const titleY = crossed ? frame.top + 13 : top - 9;
  yAxis(panel, y, plot, frame.left, titleY, shapes);
  if (panel.x !== null && panel.showX) xAxis(panel.x, x, plot, shapes);

  const labels: { trace: Trace; path: Dot[] }[] = [];
  const traces: Shape[] = [];
  for (const trace of only(panel, 'trace')) {
    const paths = pieces(trace, x, y);
    for (const path of paths) occupancy.addPath(path);
    if (trace.look === 'measured')
      traces.push({ kind: 'discs', centres: paths.flat(), radius: 3, fill: 'paper', stroke: STROKES.measured });
    else traces.push({ kind: 'lines', paths, stroke: STROKES[trace.look], part: trace.part });
    if (trace.label !== undefined && paths.length > 0) labels.push({ trace, path: paths.reduce((a, b) => (b.length > a.length ? b : a)) });
  }
  for (const guide of only(panel, 'guide')) shapes.push(...drawGuide(guide, x, y, plot, occupancy));
  for (const level of only(panel, 'level')) shapes.push(...drawLevel(level, x, y, occupancy));
  for (const bars of only(panel, 'bars'))
    shapes.push(...drawBars(bars, x, y, panel.y.scale === 'linear' && panel.y.from <= 0 ? y(0) : plot.bottom, plot, occupancy));
  // Faint lines first, the answer's own trace on top.
  shapes.push(...[...traces].reverse());
  drawDimensions(panel, x, y, plot, occupancy, shapes);
  for (const point of only(panel, 'point')) shapes.push(...drawPoint(point, x, y, plot, occupancy));
  for (const { trace, path } of labels) {
    const line = trace.label ?? [];
    const wide = widthOf(line, SIZE.label);
    const { place, clear } = occupancy.place(tracePlaces(path, wide), wide, 15, plot);
    shapes.push(text(line, place.left, place.top + 12, 'start', LABEL_TONE[trace.look], SIZE.label, !clear, trace.part));
  }
  const axisHeight = panel.x !== null && panel.showX ? X_TICKS_HEIGHT + X_TITLE_HEIGHT : STAND_OFF;
  return plot.bottom + axisHeight - frame.top;
}
