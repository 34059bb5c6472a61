/** The same drawing with other values: nothing moves, texts change where they stand. */

import type { Sheet } from '../sheet/types.ts';
import { type Circuit, circuitOf, type Element } from './elements.ts';
import { supplyVoltsText } from './format.ts';
import { labelBox, oneLine } from './places.ts';
import type { DrawnSymbol, Label, Plan, Span } from './plan.ts';
import { scoreOf } from './score.ts';
import type { TextMetrics } from './text.ts';

/** Whether a symbol stands for the element as it is now connected. */
function standsFor(s: DrawnSymbol, e: Element | undefined): e is Element {
  if (!e || e.kind !== s.kind || e.polarized !== s.polarized) return false;
  return [e.first, e.second, e.control].every((node, k) => node === s.pins[k]?.node);
}

function linesOf(label: Label, circuit: Circuit, element: Element | undefined): Span[][] {
  if (element) return label.lines.length === element.lines.length ? element.lines : oneLine(element.lines);
  return label.lines.map((line) =>
    line.map((span) => {
      const held = span.slot?.kind === 'volts' ? circuit.terminals.get(span.slot.node) : undefined;
      return held === undefined ? span : { ...span, text: supplyVoltsText(held) };
    }),
  );
}

/** The previous plan with the sheet's present values; null where the sheet is connected otherwise, or a text no longer fits. */
export function revalued(previous: Plan, sheet: Sheet, metrics: TextMetrics): Plan | null {
  const generator = previous.symbols.some((s) => s.kind === 'generator');
  const circuit = circuitOf(sheet, generator);
  const elements = new Map(circuit.elements.filter((e) => e.kind !== 'end').map((e) => [e.id, e]));
  if (elements.size !== previous.symbols.length || !previous.symbols.every((s) => standsFor(s, elements.get(s.id)))) return null;
  const rails = previous.rails.map((r) => r.node);
  if (rails.some((node) => node !== circuit.top && node !== circuit.bottom)) return null;
  const labels = previous.labels.map((label): Label => {
    const lines = linesOf(label, circuit, elements.get(label.of));
    return {
      ...label,
      lines,
      box: label.onPointing ? label.box : labelBox({ name: label.place, at: label.at, anchor: label.anchor, lines }, metrics),
    };
  });
  const symbols = previous.symbols.map((s) => {
    const e = elements.get(s.id);
    return e ? { ...s, description: e.description, bench: e.bench } : s;
  });
  const frames = previous.frames.map((f) => ({ ...f, name: circuit.loadName ?? f.name }));
  const plan: Plan = { ...previous, labels, symbols, frames };
  return scoreOf(plan).faults.length === 0 ? plan : null;
}
