/** The symbols of IEC 60617 as primitives, each in its place and state. */
import { square } from '../numerics/elementary.ts';
import { halfLength } from './elements.ts';
import type { Habit, Mark, MarkRole } from './mark.ts';
import type { DrawnSymbol, Point } from './plan.ts';
import { plusAt } from './shapes.ts';

export const n = (value: number): string => String(Math.round(value * 100) / 100);
export const path = (d: string, role: MarkRole): Mark => ({ shape: 'path', d, role });
export const line = (x1: number, y1: number, x2: number, y2: number, role: MarkRole): Mark =>
  path(`M${n(x1)} ${n(y1)}L${n(x2)} ${n(y2)}`, role);
const rect = (x: number, y: number, width: number, height: number, role: MarkRole): Mark => ({ shape: 'rect', x, y, width, height, role });
export const circle = (x: number, y: number, r: number, role: MarkRole): Mark => ({ shape: 'circle', x, y, r, role });

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

export function symbolMarks(s: DrawnSymbol, habit: Habit, state: string | undefined): Mark[] {
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
