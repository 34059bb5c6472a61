import { isInner } from './elements.ts';
import { currentText, nodeVoltsText, supplyVoltsText } from './format.ts';
import type { Habit, Mark, MarkGroup, Run } from './mark.ts';
import { type ArrowSlot, FACE, type Label, LINE, type Plan } from './plan.ts';
import { ARROW_LENGTH } from './shapes.ts';
import { circle, line, n, path, symbolMarks } from './symbols.ts';
import { typefaceMetrics } from './text.ts';
import { currentOf, type DrawingValues } from './values.ts';

export const CAPTION_HEIGHT = 30;
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
