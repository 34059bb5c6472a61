/** A plan with its values as drawing primitives, grouped by what they stand for: what every renderer draws. */
import { square } from '../numerics/elementary.ts';
import { halfLength, isInner } from './elements.ts';
import { currentText, nodeVoltsText, supplyVoltsText } from './format.ts';
import { type ArrowSlot, type DrawnSymbol, FACE, type Label, LINE, type Plan, type Point, type SpanRole } from './plan.ts';
import { ARROW_LENGTH, plusAt } from './shapes.ts';
import { typefaceMetrics } from './text.ts';
import { currentOf, type DrawingValues } from './values.ts';

export type Habit = 'rectangle' | 'zigzag';

/** What a stroke or a surface is, for the table of styles of a renderer. */
export type MarkRole =
  | 'wire'
  | 'symbol'
  | 'filled'
  | 'rail'
  | 'plate'
  | 'bar'
  | 'lead'
  | 'fine'
  | 'solid'
  | 'dot'
  | 'terminal'
  | 'envelope'
  | 'inner'
  | 'frame'
  | 'arrow'
  | 'cut'
  | 'bridge'
  | 'bridgeDot'
  | 'caution'
  | 'generator';

export interface Run {
  text: string;
  role: SpanRole | 'plain';
}
export type Mark =
  | { shape: 'path'; d: string; role: MarkRole }
  | { shape: 'circle'; x: number; y: number; r: number; role: MarkRole }
  | { shape: 'rect'; x: number; y: number; width: number; height: number; radius?: number; role: MarkRole }
  | { shape: 'text'; x: number; y: number; anchor: 'start' | 'middle' | 'end'; runs: Run[]; struck: boolean; halo?: boolean };

export interface MarkGroup {
  kind: 'conductors' | 'part' | 'node' | 'current' | 'frame' | 'caption';
  /** Designator, node or arrow; empty for what stands for nothing single. */
  of: string;
  /** What a reader of the picture hears. */
  label: string;
  state?: string;
  bench?: 'lifted' | 'shorted';
  /** Shown on pointing only. */
  onPointing?: boolean;
  marks: Mark[];
}

export const CAPTION_HEIGHT = 30;
const n = (value: number): string => String(Math.round(value * 100) / 100);
const path = (d: string, role: MarkRole): Mark => ({ shape: 'path', d, role });
const line = (x1: number, y1: number, x2: number, y2: number, role: MarkRole): Mark => path(`M${n(x1)} ${n(y1)}L${n(x2)} ${n(y2)}`, role);
const rect = (x: number, y: number, width: number, height: number, role: MarkRole): Mark => ({ shape: 'rect', x, y, width, height, role });
const circle = (x: number, y: number, r: number, role: MarkRole): Mark => ({ shape: 'circle', x, y, r, role });

/** Filled arrowhead with its tip at (x, y), pointing along (dx, dy) of length one. */
function head(x: number, y: number, dx: number, dy: number, length: number, width: number): string {
  const bx = x - dx * length;
  const by = y - dy * length;
  return `M${n(x)} ${n(y)}L${n(bx - (dy * width) / 2)} ${n(by + (dx * width) / 2)}L${n(bx + (dy * width) / 2)} ${n(by - (dx * width) / 2)}Z`;
}

/** Turns a drawing made upright about the origin, first terminal up, into its place. */
function placer(s: DrawnSymbol): (x: number, y: number) => [number, number] {
  const { x: cx, y: cy } = s.at;
  const sign = s.firstLeads ? 1 : -1;
  return (x, y) => (s.upright ? [cx + x, cy + sign * y] : [cx + sign * y, cy + x]);
}

function resistorMarks(s: DrawnSymbol, habit: Habit): Mark[] {
  const { x, y } = s.at;
  if (habit === 'rectangle') return [s.upright ? rect(x - 7, y - 21, 14, 42, 'filled') : rect(x - 21, y - 7, 42, 14, 'filled')];
  const at = placer(s);
  const points: [number, number][] = [[0, -21]];
  for (let k = 0; k < 6; k++) points.push([k % 2 === 0 ? 7 : -7, -17.5 + k * 7]);
  points.push([0, 21]);
  return [
    path(
      points
        .map(([px, py], k) => {
          const [a, b] = at(px, py);
          return `${k === 0 ? 'M' : 'L'}${n(a)} ${n(b)}`;
        })
        .join(''),
      'symbol',
    ),
  ];
}

function transistorMarks(s: DrawnSymbol, state: string | undefined): Mark[] {
  const { x, y } = s.at;
  const side = s.facing === 'left' ? -1 : 1;
  const centre = x + side * 10;
  const bar = x + side * 17;
  const emitterUp = !s.firstLeads;
  const marks: Mark[] = [circle(centre, y, 21, 'envelope')];
  if (state === 'breakdown' || state === 'reversed') marks.push(circle(centre, y, 17.5, 'inner'));
  marks.push(rect(bar - 1.6, y - 13, 3.2, 26, 'bar'));
  for (const up of [-1, 1]) marks.push(line(bar, y + up * 6, x, y + up * 17, 'lead'));
  const ey = emitterUp ? -1 : 1;
  const [x1, y1, x2, y2] = [bar, y + ey * 6, x, y + ey * 17];
  const length = Math.sqrt(square(x2 - x1) + square(y2 - y1));
  const [dx, dy] = [(x2 - x1) / length, (y2 - y1) / length];
  // Out of the bar for NPN, into it for PNP.
  if (s.kind === 'npn') marks.push(path(head(x1 + dx * (length - 3.7), y1 + dy * (length - 3.7), dx, dy, 8.5, 7.2), 'solid'));
  else marks.push(path(head(x1 + dx * 5.6, y1 + dy * 5.6, -dx, -dy, 8.5, 7.2), 'solid'));
  return marks;
}

function diodeMarks(s: DrawnSymbol): Mark[] {
  const at = placer(s);
  const p = (x: number, y: number): string => at(x, y).map(n).join(' ');
  const marks: Mark[] = [path(`M${p(-8, -7)}L${p(8, -7)}L${p(0, 7)}Z`, 'filled'), path(`M${p(-8, 7)}L${p(8, 7)}`, 'symbol')];
  if (s.kind === 'led') {
    for (const dy of [-5, 2]) {
      const [x1, y1] = s.upright ? [s.at.x - 11.5, s.at.y + dy] : [s.at.x + dy, s.at.y - 11.5];
      const [ux, uy] = s.upright ? [-0.8, -0.6] : [-0.6, -0.8];
      marks.push(line(x1, y1, x1 + ux * 5.5, y1 + uy * 5.5, 'fine'));
      marks.push(path(head(x1 + ux * 11, y1 + uy * 11, ux, uy, 5.5, 4.4), 'solid'));
    }
  }
  return marks;
}

function capacitorMarks(s: DrawnSymbol): Mark[] {
  const { x, y } = s.at;
  const marks: Mark[] = [-3.5, 3.5].map((d) =>
    s.upright ? line(x - 13, y + d, x + 13, y + d, 'plate') : line(x + d, y - 13, x + d, y + 13, 'plate'),
  );
  if (s.polarized) {
    const p = plusAt(s);
    marks.push(path(`M${n(p.x - 3.2)} ${n(p.y)}h6.4M${n(p.x)} ${n(p.y - 3.2)}v6.4`, 'fine'));
  }
  return marks;
}

function otherMarks(s: DrawnSymbol, habit: Habit): Mark[] {
  const { x, y } = s.at;
  const at = placer(s);
  switch (s.kind) {
    case 'trimmer': {
      const side = s.facing === 'left' ? -1 : 1;
      return [...resistorMarks(s, habit), path(head(x + side * 8, y, -side, 0, 9.5, 8), 'solid')];
    }
    case 'inductor': {
      const [a, b] = at(0, -21);
      const sweep = (s.upright ? 1 : 0) === (s.firstLeads ? 1 : 0) ? 1 : 0;
      let d = `M${n(a)} ${n(b)}`;
      for (let k = 1; k <= 4; k++) {
        const [px, py] = at(0, -21 + k * 10.5);
        d += `A5.25 5.25 0 0 ${sweep} ${n(px)} ${n(py)}`;
      }
      return [path(d, 'symbol')];
    }
    case 'speaker': {
      const dir = 1;
      return s.upright
        ? [
            path(`M${n(x + 6)} ${n(y - 12)}L${n(x + dir * 17)} ${n(y - 22)}V${n(y + 22)}L${n(x + 6)} ${n(y + 12)}`, 'filled'),
            rect(x - 6, y - 12, 12, 24, 'filled'),
          ]
        : [
            path(`M${n(x - 12)} ${n(y - 6)}L${n(x - 22)} ${n(y - 17)}H${n(x + 22)}L${n(x + 12)} ${n(y - 6)}`, 'filled'),
            rect(x - 12, y - 6, 24, 12, 'filled'),
          ];
    }
    case 'generator':
      return [circle(x, y, 16, 'filled'), path(`M${n(x - 9)} ${n(y)}c3 -9 7 -9 9 0s6 9 9 0`, 'symbol')];
    case 'voltage': {
      // IEC 60617: an ideal source of voltage has its conductor drawn through; the plus marks its first terminal.
      const [a, b] = at(0, -16);
      const [c, d] = at(0, 16);
      const [px, py] = at(-11, -20);
      return [
        circle(x, y, 16, 'filled'),
        line(a, b, c, d, 'symbol'),
        path(`M${n(px - 3.2)} ${n(py)}h6.4M${n(px)} ${n(py - 3.2)}v6.4`, 'fine'),
      ];
    }
    case 'current': {
      // An ideal source of current has a bar across; the arrow beside it gives its sense.
      const [a, b] = at(-16, 0);
      const [c, d] = at(16, 0);
      const [tx, ty] = at(-22, 12);
      const [fx, fy] = at(-22, -12);
      const [ux, uy] = [Math.sign(tx - fx), Math.sign(ty - fy)];
      return [
        circle(x, y, 16, 'filled'),
        line(a, b, c, d, 'symbol'),
        line(fx, fy, tx - ux * 5, ty - uy * 5, 'fine'),
        path(head(tx, ty, ux, uy, 7, 6), 'solid'),
      ];
    }
    default:
      return [];
  }
}

function symbolMarks(s: DrawnSymbol, habit: Habit, state: string | undefined): Mark[] {
  let marks: Mark[];
  if (s.kind === 'resistor') marks = resistorMarks(s, habit);
  else if (s.kind === 'npn' || s.kind === 'pnp') marks = transistorMarks(s, state);
  else if (s.kind === 'diode' || s.kind === 'led') marks = diodeMarks(s);
  else if (s.kind === 'capacitor') marks = capacitorMarks(s);
  else marks = otherMarks(s, habit);
  if (s.bench === 'lifted') {
    // Each lead is open for 5 px just outside the body; bases leave their envelope first.
    s.pins.forEach((pin, k) => {
      const away = { x: Math.sign(pin.at.x - s.at.x), y: Math.sign(pin.at.y - s.at.y) };
      const [ux, uy] = k === 2 ? [away.x, 0] : s.upright ? [0, away.y] : [away.x, 0];
      const out = k === 2 ? 15 : s.kind === 'npn' || s.kind === 'pnp' ? 6 : 3;
      marks.push(line(pin.at.x + ux * out, pin.at.y + uy * out, pin.at.x + ux * (out + 5), pin.at.y + uy * (out + 5), 'cut'));
    });
  }
  if (s.bench === 'shorted') marks.push(...bridgeMarks(s));
  return marks;
}

/** An exact link round a part, with discs where it joins. */
function bridgeMarks(s: DrawnSymbol): Mark[] {
  const [a, b] = [s.pins[0].at, s.pins[1].at];
  const half = halfLength(s.kind) + 6;
  const wide = s.facing === 'left' && (s.kind === 'npn' || s.kind === 'pnp') ? 16 : 13;
  const side = s.kind === 'npn' || s.kind === 'pnp' ? (s.facing === 'left' ? 1 : -1) : -1;
  const ends = (
    s.upright
      ? [
          { x: s.at.x, y: s.at.y - half },
          { x: s.at.x, y: s.at.y + half },
        ]
      : [
          { x: s.at.x - half, y: s.at.y },
          { x: s.at.x + half, y: s.at.y },
        ]
  ) as [Point, Point];
  void a;
  void b;
  const d = s.upright
    ? `M${n(ends[0].x)} ${n(ends[0].y)}H${n(s.at.x + side * wide)}V${n(ends[1].y)}H${n(ends[1].x)}`
    : `M${n(ends[0].x)} ${n(ends[0].y)}V${n(s.at.y - wide)}H${n(ends[1].x)}V${n(ends[1].y)}`;
  return [path(d, 'bridge'), ...ends.map((p) => circle(p.x, p.y, 3, 'bridgeDot'))];
}

/** A. What reads as `0 mA` has no arrow either. */
const NO_CURRENT = 0.5e-9;

function arrowPath(a: ArrowSlot, amperes: number, fullScale: number, largest: number): Mark | null {
  const size = Math.abs(amperes);
  // Below a five-hundredth of the largest nothing is drawn: the reader would take a hair for a current.
  if (!(size > 0.002 * largest) || size < NO_CURRENT) return null;
  const shaft = Math.max(1.5, Math.min(12, (12 * size) / fullScale));
  const tipHalf = shaft / 2 + 2.8;
  const tip = Math.min(16, 6.2 + 0.65 * shaft);
  const turned = amperes < 0 ? { down: 'up', up: 'down', left: 'right', right: 'left' }[a.direction] : a.direction;
  const [ux, uy] = { down: [0, 1], up: [0, -1], left: [-1, 0], right: [1, 0] }[turned as ArrowSlot['direction']];
  const p = (along: number, across: number): string => `${n(a.at.x + ux * along - uy * across)} ${n(a.at.y + uy * along + ux * across)}`;
  const h = ARROW_LENGTH / 2;
  return path(
    `M${p(-h, shaft / 2)}L${p(h - tip, shaft / 2)}L${p(h - tip, tipHalf)}L${p(h, 0)}L${p(h - tip, -tipHalf)}L${p(h - tip, -shaft / 2)}L${p(-h, -shaft / 2)}Z`,
    'arrow',
  );
}

/** The round current, one of 1, 2, 5 and their decades, nearest to the largest on a scale of ratios. */
export function keyCurrent(largest: number): number {
  if (!(largest > NO_CURRENT)) return 0;
  let best = 0;
  let distance = Number.POSITIVE_INFINITY;
  for (let exponent = -12; exponent <= 3; exponent++) {
    for (const digit of [1, 2, 5]) {
      const round = Number(`${digit}e${exponent}`);
      const ratio = Math.max(round / largest, largest / round);
      if (ratio < distance) {
        distance = ratio;
        best = round;
      }
    }
  }
  return best;
}

/** A share of the largest current that reads as none: leakage beside milliamperes. */
const NOTHING = 1e-4;

/** Texts of a label with its live values; null where a line would be empty. */
function filled(label: Label, plan: Plan, values: DrawingValues, largest = 0): Run[][] {
  return label.lines.map((spans) =>
    spans.flatMap((span): Run[] => {
      const slot = span.slot;
      if (!slot) return [{ text: span.text, role: span.role }];
      if (slot.kind === 'drive') return [{ text: span.text, role: span.role }];
      if (slot.kind === 'volts') {
        const volts = values.volts?.[slot.node];
        const supply = label.kind === 'supply';
        if (volts === undefined) return supply ? [{ text: span.text, role: 'volts' }] : [];
        const held =
          supply && Math.abs(volts - Number(span.text.replace('−', '-').replace(' V', ''))) < 0.005 * Math.max(1, Math.abs(volts));
        return [{ text: held ? span.text : supply ? supplyVoltsText(volts) : nodeVoltsText(volts), role: 'volts' }];
      }
      if (slot.kind === 'current') {
        const arrow = plan.arrows.find((a) => a.id === slot.arrow);
        const amperes = arrow && currentOf(values, arrow.part, arrow.terminal);
        if (amperes === undefined) return [];
        const symbol = plan.symbols.find((s) => s.id === arrow?.part);
        const text = currentText(Math.abs(amperes) < NOTHING * largest ? 0 : amperes);
        const speaks = symbol && (symbol.owner === 'load' || ['npn', 'pnp', 'diode', 'led'].includes(symbol.kind));
        // `0 mA` is news at a device, a clamp or the load, and noise elsewhere.
        return text === '0 mA' && !speaks ? [] : [{ text, role: 'current' }];
      }
      const device = values.devices?.[slot.part];
      if (!device) return [];
      if (device.state === 'active' || device.state === 'saturated') {
        const beta = device.beta;
        const word = device.state === 'saturated' ? 'saturated' : '';
        const room = label.box.right - label.box.left + 2;
        if (word !== '' && typefaceMetrics.width(word, 'sans', 14) <= room) return [{ text: word, role: 'value' }];
        return beta === undefined || beta === null ? [] : [{ text: `β ${Math.round(beta)}`, role: 'value' }];
      }
      const fits = typefaceMetrics.width(device.state, 'sans', 14) <= label.box.right - label.box.left + 2;
      return fits ? [{ text: device.state, role: 'value' }] : [];
    }),
  );
}

function textMarks(label: Label, runs: Run[][], struck: boolean): Mark[] {
  return runs.flatMap((line, i): Mark[] => {
    // A value that is missing leaves no hanging space behind.
    const shown = [...line];
    while (shown.length > 0 && shown[shown.length - 1].text.trim() === '') shown.pop();
    return shown.length === 0
      ? []
      : [
          {
            shape: 'text',
            x: label.at.x,
            y: label.at.y + i * LINE,
            anchor: label.anchor,
            runs: shown,
            struck: struck && i === 0,
            ...(label.halo ? { halo: true } : {}),
          },
        ];
  });
}

/** Everything to draw, back to front. */
export function marksOf(plan: Plan, values: DrawingValues, habit: Habit, caption: boolean): MarkGroup[] {
  const groups: MarkGroup[] = [];
  const symbol = new Map(plan.symbols.map((s) => [s.id, s]));
  groups.push({ kind: 'conductors', of: '', label: '', marks: plan.rails.map((r) => line(r.from, r.y, r.to, r.y, 'rail')) });
  for (const node of [...new Set(plan.wires.map((w) => w.node))]) {
    const wires = plan.wires.filter((w) => w.node === node);
    // One path for a node: its pieces share their corners.
    const d = wires.map((w) => `M${n(w.from.x)} ${n(w.from.y)}L${n(w.to.x)} ${n(w.to.y)}`).join('');
    groups.push({ kind: 'node', of: isInner(node) ? '' : node, label: '', marks: [path(d, 'wire')] });
  }
  for (const e of plan.earths) {
    const { x, y } = e.at;
    groups.push({
      kind: 'node',
      of: 'gnd',
      label: '',
      marks: [path(`M${n(x - 10)} ${n(y)}h20M${n(x - 6)} ${n(y + 4)}h12M${n(x - 2)} ${n(y + 8)}h4`, 'symbol')],
    });
  }
  const byPart = new Map<string, Label[]>();
  for (const l of plan.labels) if (symbol.has(l.of)) byPart.set(l.of, [...(byPart.get(l.of) ?? []), l]);
  for (const s of plan.symbols) {
    const state = values.devices?.[s.id]?.state;
    const marks = symbolMarks(s, habit, state);
    let spoken = s.description;
    for (const l of byPart.get(s.id) ?? []) {
      if (l.onPointing) continue;
      marks.push(...textMarks(l, filled(l, plan, values), s.bench === 'lifted'));
      if (values.overRating?.includes(s.id)) {
        const width = typefaceMetrics.width(s.id, 'bold', FACE.designator.size);
        const x = l.anchor === 'end' ? l.at.x - width - 17 : l.anchor === 'start' ? l.at.x + width + 6 : l.at.x + width / 2 + 6;
        marks.push(path(`M${n(x)} ${n(l.at.y)}l5.5 -9.5l5.5 9.5z`, 'caution'));
        spoken += ', over a rating';
      }
    }
    if (state !== undefined) spoken += `, ${state}`;
    if (s.bench) spoken += `, ${s.bench}`;
    const visible = s.bench === 'lifted' ? 'lifted' : state;
    groups.push({ kind: 'part', of: s.id, label: spoken, state: visible, bench: s.bench, marks });
  }
  for (const f of plan.frames) {
    const b = f.box;
    groups.push({
      kind: 'frame',
      of: f.name,
      label: '',
      marks: [{ shape: 'rect', x: b.left, y: b.top, width: b.right - b.left, height: b.bottom - b.top, radius: 3, role: 'frame' }],
    });
  }
  groups.push({ kind: 'conductors', of: '', label: '', marks: plan.dots.map((d) => circle(d.at.x, d.at.y, 3, 'dot')) });
  for (const t of plan.terminals) groups.push({ kind: 'node', of: t.node, label: '', marks: [circle(t.at.x, t.at.y, 3.5, 'terminal')] });

  const amperes = plan.arrows.map((a) => Math.abs(currentOf(values, a.part, a.terminal) ?? 0));
  const largest = Math.max(0, ...amperes);
  const fullScale = values.fullScale ?? 2.5 * largest;
  for (const a of plan.arrows) {
    const here = currentOf(values, a.part, a.terminal);
    if (here === undefined) continue;
    const mark = arrowPath(a, here, fullScale, largest);
    const label = plan.labels.find((l) => l.kind === 'current' && l.of === a.id);
    const marks = mark ? [mark] : [];
    if (label) marks.push(...textMarks(label, filled(label, plan, values, largest), false));
    if (marks.length > 0)
      groups.push({
        kind: 'current',
        of: a.part,
        label: `Current of ${a.part.replace(/^(load|drive) .*/, '$1')}, ${currentText(here)}`,
        marks,
      });
  }
  for (const l of plan.labels) {
    if (l.kind !== 'node' && l.kind !== 'supply') continue;
    const volts = values.volts?.[l.of];
    const spoken = volts === undefined ? `Node ${l.of}` : `Node ${l.of}, ${nodeVoltsText(volts)}`;
    groups.push({
      kind: 'node',
      of: l.of,
      label: spoken,
      onPointing: l.onPointing || undefined,
      marks: textMarks(l, filled(l, plan, values), false),
    });
  }
  if (caption) {
    const y = plan.height + 19;
    const marks: Mark[] = [
      { shape: 'text', x: 6, y, anchor: 'start', runs: [{ text: values.moment ?? 'at rest', role: 'plain' }], struck: false },
    ];
    const key = keyCurrent(largest);
    if (key > 0) {
      const right = plan.box.right - 6;
      const text = currentText(key).replace(/\.0+ /, ' ');
      const width = typefaceMetrics.width(text, 'bold', 14);
      const arrow = arrowPath(
        { id: 'key', part: '', terminal: 'first', at: { x: right - width - 8 - ARROW_LENGTH / 2 - 8, y: y - 5 }, direction: 'right' },
        key,
        fullScale,
        key,
      );
      if (arrow) marks.push(arrow, { shape: 'text', x: right, y, anchor: 'end', runs: [{ text, role: 'current' }], struck: false });
    }
    groups.push({ kind: 'caption', of: '', label: '', marks });
  }
  return groups;
}
