import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readSheet } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { currentText, nodeVoltsText, resistanceText, voltageText } from './format.ts';
import { drawSvg, escapeXml, keyCurrent, layOut, scoreOf } from './index.ts';
import type { Plan } from './plan.ts';
import { typefaceMetrics } from './text.ts';

function sheetOf(text: string): Sheet {
  const { sheet, problems } = readSheet(text);
  if (!sheet) throw new Error(problems.map((p) => p.sentence).join(' '));
  return sheet;
}

const follower = (r3 = '680', more = ''): Sheet =>
  sheetOf(`footroom: 1
title: Listening post, <follower> & "friends"
supplies: { vcc: 12 V }
parts:
  R1: { resistor: 39k, from: vcc, to: base }
  R2: { resistor: 56k, from: base, to: gnd }
  C1: { capacitor: 1u, from: in, to: base }
  Q1: { npn: small-signal, collector: vcc, base: base, emitter: out }
  R3: { resistor: ${r3}, from: out, to: gnd }
  C2: { capacitor: 220u, from: out, to: jack, polarized: true, rating: 16 V }
  R4: { resistor: 4k7, from: jack, to: gnd }
${more}drive: { node: in, sourceResistance: 600, waveform: sine, peakToPeak: 1.8 V, frequency: 440 Hz }
output: jack
loads:
  phones: { resistor: 32 }
  none: open
`);

const places = (plan: Plan): Record<string, string> => Object.fromEntries(plan.symbols.map((s) => [s.id, `${s.at.x} ${s.at.y}`]));
const options = { title: 'Follower', description: 'A follower', habit: 'rectangle', theme: 'paper' } as const;

describe('the layout', () => {
  it('gives the same plan and the same bytes for the same sheet', () => {
    const [a, b] = [layOut(follower(), { width: 600 }), layOut(follower(), { width: 600 })];
    expect(b).toEqual(a);
    expect(drawSvg(b, {}, options)).toBe(drawSvg(a, {}, options));
  });

  it('draws the headphone follower without crossing, without fault, with the two bends of generator and load', () => {
    const score = scoreOf(layOut(follower(), { width: 600 }));
    expect(score.faults).toEqual([]);
    expect(score.crossings).toBe(0);
    expect(score.bends).toBe(2);
  });

  it('moves nothing when a value changes and the previous plan is given', () => {
    const before = layOut(follower(), { width: 600 });
    const after = layOut(follower('330'), { width: 600, previous: before });
    expect(places(after)).toEqual(places(before));
  });

  it('keeps the order of legs when a part is tacked on', () => {
    const before = layOut(follower(), { width: 600 });
    const after = layOut(follower('680', '  R8: { resistor: 330, from: out, to: gnd }\n'), { width: 600, previous: before });
    expect(scoreOf(after).faults).toEqual([]);
    const order = (plan: Plan): string[] =>
      plan.symbols
        .filter((s) => s.upright && s.id !== 'R8')
        .sort((a, b) => a.at.x - b.at.x || a.at.y - b.at.y)
        .map((s) => s.id);
    expect(order(after)).toEqual(order(before));
    expect(after.symbols.some((s) => s.id === 'R8')).toBe(true);
  });

  it('keeps a lifted part in its place and marks it', () => {
    const sheet = follower();
    const before = layOut(sheet, { width: 600 });
    const lifted = { ...sheet, parts: sheet.parts.map((p) => (p.name === 'R3' ? { ...p, lifted: true } : p)) };
    const after = layOut(lifted, { width: 600, previous: before });
    expect(places(after)).toEqual(places(before));
    const svg = drawSvg(after, {}, options);
    expect(svg).toContain('class="struck"');
    expect(svg).toContain('m-cut');
  });

  it('draws a shorted part with a bridge and two discs', () => {
    const sheet = follower();
    const shorted = { ...sheet, parts: sheet.parts.map((p) => (p.name === 'R3' ? { ...p, shorted: true } : p)) };
    const svg = drawSvg(layOut(shorted, { width: 600 }), {}, options);
    expect(svg.match(/class="m-bridgeDot"/g)).toHaveLength(2);
  });

  it('has no fault for any ladder of resistors and capacitors', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom('R to gnd', 'C to gnd', 'R on', 'C on'), { minLength: 1, maxLength: 6 }), (steps) => {
        let node = 'in';
        const parts = steps.map((step, i) => {
          const next = step.endsWith('gnd') ? 'gnd' : `n${i}`;
          const line = step.startsWith('R')
            ? `  R${i}: { resistor: 1k, from: ${node}, to: ${next} }`
            : `  C${i}: { capacitor: 1u, from: ${node}, to: ${next} }`;
          if (next !== 'gnd') node = next;
          return line;
        });
        const text = `footroom: 1\nsupplies: { vcc: 5 V }\nparts:\n${parts.join('\n')}\n  R90: { resistor: 10k, from: ${node}, to: gnd }\n  R91: { resistor: 10k, from: vcc, to: ${node} }\ndrive: { node: in, waveform: sine, peak: 1 V, frequency: 1 kHz }\n`;
        const { sheet } = readSheet(text);
        // A chain of capacitors leaves nodes floating: such a sheet is refused, and there is nothing to draw.
        if (sheet) expect(scoreOf(layOut(sheet, { width: 600 })).faults).toEqual([]);
      }),
      { numRuns: 40, seed: 7 },
    );
  });
});

describe('the score', () => {
  const plan = layOut(follower(), { width: 600 });

  it('finds a text moved onto a part', () => {
    const [label, ...rest] = plan.labels;
    const s = plan.symbols.find((x) => x.id === 'Q1')!;
    const moved = { ...label, box: { ...s.body }, onPointing: false };
    expect(scoreOf({ ...plan, labels: [moved, ...rest] }).faults.length).toBeGreaterThan(0);
  });

  it('finds a missing dot', () => {
    expect(scoreOf({ ...plan, dots: plan.dots.slice(1) }).faults.some((f) => f.includes('missing'))).toBe(true);
  });

  it('finds a joint of four', () => {
    const dot = plan.dots.find((d) => d.node === 'base')!;
    const [a, b] = [
      { x: dot.at.x - 30, y: dot.at.y },
      { x: dot.at.x + 30, y: dot.at.y },
    ];
    const faults = scoreOf({ ...plan, wires: [...plan.wires, { node: 'base', from: a, to: b }] }).faults;
    expect(faults.some((f) => f.startsWith('four conductors'))).toBe(true);
  });

  it('counts a crossing of a wire drawn across the output leg', () => {
    const leg = plan.wires.find((w) => w.node === 'out' && w.from.x === w.to.x)!;
    const y = (leg.from.y + leg.to.y) / 2 + 7;
    const crossed = {
      ...plan,
      labels: [],
      wires: [...plan.wires, { node: 'x', from: { x: leg.from.x - 20, y }, to: { x: leg.from.x + 20, y } }],
    };
    expect(scoreOf(crossed).crossings).toBe(1);
  });
});

describe('the picture', () => {
  const plan = layOut(follower(), { width: 600 });

  it('escapes every text and names each part for who cannot see it', () => {
    const svg = drawSvg(plan, {}, { ...options, title: '<script>alert(1)</script>', description: '"&\u0007"' });
    expect(svg).not.toContain('<script');
    expect(svg).toContain('&lt;script&gt;');
    expect(svg).toContain('aria-label="R3, 680 Ω, from out to gnd"');
    expect(svg).not.toContain('\u0007');
  });

  it('shows what a transistor does by its outline as well as by a word', () => {
    const state = (name: 'off' | 'saturated' | 'breakdown'): string =>
      drawSvg(plan, { devices: { Q1: { state: name, beta: 11 } } }, options);
    expect(state('off')).toContain('class="g-part off"');
    expect(state('off')).toContain('>off</tspan>');
    expect(state('saturated')).toContain('class="g-part saturated"');
    expect(state('breakdown')).toContain('m-inner');
  });

  it('turns an arrow round with its current and draws none where nothing flows', () => {
    const arrows = (ampere: number): string[] =>
      drawSvg(plan, { currents: { R1: ampere, R3: 8e-3 } }, { ...options, caption: false }).match(/<path class="m-arrow" d="[^"]*"/g) ?? [];
    expect(arrows(1e-3)).toHaveLength(2);
    expect(arrows(-1e-3)).toHaveLength(2);
    expect(arrows(-1e-3)[0]).not.toBe(arrows(1e-3)[0]);
    expect(arrows(0)).toHaveLength(1);
  });

  it('draws resistors as zigzags in the other habit', () => {
    const rectangles = (svg: string): number => (svg.match(/<rect class="m-filled"/g) ?? []).length;
    expect(rectangles(drawSvg(plan, {}, options))).toBe(6);
    expect(rectangles(drawSvg(plan, {}, { ...options, habit: 'zigzag' }))).toBe(0);
  });

  it('has no ground of its own in the theme none', () => {
    expect(drawSvg(plan, {}, { ...options, theme: 'none' })).not.toContain('<rect width=');
  });
});

describe('values in the drawing', () => {
  it('are written as IEC 60062 writes resistances', () => {
    // IEC 60062:2016, examples of clause 4: R33, 3R3 are codes below a kilohm, which the drawing writes with their unit.
    expect([0.33, 3.3, 680, 1e3, 4700, 1.5e6].map(resistanceText)).toEqual(['0.33 Ω', '3.3 Ω', '680 Ω', '1k', '4k7', '1M5']);
    expect([12, 0.6, 0.05].map(voltageText)).toEqual(['12 V', '0.6 V', '50 mV']);
    expect([5.376, -0.0353, 12, 0].map(nodeVoltsText)).toEqual(['5.38 V', '−35 mV', '12.0 V', '0 V']);
    expect([7.9e-3, 0.148e-3, 44e-6, 0, 0.023].map(currentText)).toEqual(['7.9 mA', '0.15 mA', '44 µA', '0 mA', '23 mA']);
    expect([5.5e-3, 23e-3, 8e-3].map(keyCurrent)).toEqual([5e-3, 20e-3, 10e-3]);
  });

  it('have a width that grows with every letter', () => {
    expect(typefaceMetrics.width('0.15 mA', 'bold', 14)).toBeCloseTo((4 * 513 - 513 + 275 + 200 + 843 + 554) * 0.014, 6);
    expect(escapeXml('a<b>&\'"')).toBe('a&lt;b&gt;&amp;&#39;&quot;');
  });
});
