import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { impedance, quiescent, swing, waveform } from '../words/testing/answers.ts';
import { axisTitle, scaleOf, ticksOf } from './axes.ts';
import { type Canvas, toCanvas } from './canvas.ts';
import { hatch } from './hatch.ts';
import { impedanceScene } from './impedance.ts';
import { spreadOut } from './labels.ts';
import { layOut } from './layout.ts';
import type { LinesShape, Shape, TextShape } from './picture.ts';
import { quiescentScene } from './quiescent.ts';
import type { Axis, Scene } from './scene.ts';
import { spectrumScene } from './spectrum.ts';
import { toSvg } from './svg.ts';
import { swingScene } from './swing.ts';
import { toTerminal } from './terminal.ts';
import { balanced, plain, textOf, widthOf, wrapped } from './text.ts';
import { waveformScene } from './waveform.ts';

const SPANS = { R1: ['vcc', 'base'], R2: ['base', 'gnd'], Q1: ['vcc', 'out'], R3: ['out', 'gnd'], C2: ['out', 'jack'] } as const;
const NAMES = { output: 'jack', drive: 'in' };
const spectrum = spectrumScene(waveform());
const SCENES: Scene[] = [
  swingScene(swing(), NAMES),
  waveformScene(waveform(), undefined, NAMES),
  impedanceScene(impedance()),
  quiescentScene(quiescent(), SPANS),
  ...(spectrum === null ? [] : [spectrum]),
];
const texts = (shapes: readonly Shape[]): string[] => shapes.filter((s): s is TextShape => s.kind === 'text').map((s) => textOf(s.runs));

describe('axes', () => {
  const linear = fc
    .tuple(fc.double({ min: -1e4, max: 1e4, noNaN: true }), fc.double({ min: 1e-3, max: 1e4, noNaN: true }))
    .map(([from, span]): Axis => ({ unit: 'V', from, to: from + span, scale: 'linear' }));
  const logarithmic = fc
    .tuple(fc.integer({ min: -6, max: 6 }), fc.double({ min: 0.2, max: 9, noNaN: true }))
    .map(([e, decades]): Axis => ({ unit: 'Hz', from: 3 * 10 ** e, to: 3 * 10 ** (e + decades), scale: 'logarithmic' }));

  it('tick within the data only, in rising order', () => {
    fc.assert(
      fc.property(fc.oneof(linear, logarithmic), fc.integer({ min: 2, max: 12 }), (axis, count) => {
        const values = ticksOf(axis, count).map((tick) => tick.value);
        const slack = 1e-9 * Math.max(Math.abs(axis.from), Math.abs(axis.to));
        for (const [k, value] of values.entries()) {
          expect(value).toBeGreaterThanOrEqual(axis.from - slack);
          expect(value).toBeLessThanOrEqual(axis.to + slack);
          if (k > 0) expect(value).toBeGreaterThan(values[k - 1]);
        }
      }),
    );
  });

  it('label decades with prefixes, never with powers', () => {
    const labels = ticksOf({ unit: 'Hz', from: 1, to: 1e8, scale: 'logarithmic' }, 12).map((tick) => tick.label);
    expect(labels).toEqual(['1', '10', '100', '1\u00a0k', '10\u00a0k', '100\u00a0k', '1\u00a0M', '10\u00a0M', '100\u00a0M']);
  });

  it('carry the prefix in the title', () => {
    expect(axisTitle({ unit: 's', from: 0, to: 0.0023, scale: 'linear', note: 'one period' })).toBe('milliseconds, one period');
    expect(axisTitle({ name: 'jack', unit: 'V', from: -0.2, to: 6.2, scale: 'linear' })).toBe('jack, volts');
    expect(ticksOf({ unit: 's', from: 0, to: 0.002, scale: 'linear' }, 4).map((tick) => tick.label)).toEqual([
      '0',
      '0.5',
      '1.0',
      '1.5',
      '2.0',
    ]);
  });

  it('put equal ratios at equal distances on a logarithmic scale', () => {
    const x = scaleOf({ from: 1, to: 1e4, scale: 'logarithmic' }, 0, 400);
    expect(x(10)).toBeCloseTo(100, 9);
    expect(x(1e3)).toBeCloseTo(300, 9);
  });
});

describe('patterns', () => {
  const box = fc
    .tuple(
      fc.double({ min: 0, max: 500, noNaN: true }),
      fc.double({ min: 0, max: 500, noNaN: true }),
      fc.double({ min: 1, max: 300, noNaN: true }),
      fc.double({ min: 1, max: 300, noNaN: true }),
    )
    .map(([left, top, width, height]) => ({ left, top, right: left + width, bottom: top + height }));

  it('stay within their box, and run at 45 degrees', () => {
    fc.assert(
      fc.property(box, fc.constantFrom('off' as const, 'saturated' as const, 'breakdown' as const), (b, pattern) => {
        for (const shape of hatch(b, pattern)) {
          const points = shape.kind === 'lines' ? shape.paths.flat() : shape.kind === 'discs' ? shape.centres : [];
          for (const [x, y] of points) {
            expect(x).toBeGreaterThanOrEqual(b.left - 1e-6);
            expect(x).toBeLessThanOrEqual(b.right + 1e-6);
            expect(y).toBeGreaterThanOrEqual(b.top - 1e-6);
            expect(y).toBeLessThanOrEqual(b.bottom + 1e-6);
          }
          if (shape.kind !== 'lines') continue;
          for (const [[x0, y0], [x1, y1]] of shape.paths) expect(Math.abs(x1 - x0)).toBeCloseTo(Math.abs(y1 - y0), 6);
        }
      }),
    );
  });
});

describe('labels', () => {
  it('are spread so that each keeps its distance, in the order they had', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 200, noNaN: true }), { minLength: 1, maxLength: 6 }), (centres) => {
        const moved = spreadOut(centres, 20, 0, 200);
        const order = centres.map((_, k) => k).sort((a, b) => centres[a] - centres[b]);
        for (let k = 1; k < order.length; k++) expect(moved[order[k]] - moved[order[k - 1]]).toBeGreaterThanOrEqual(20 - 1e-9);
      }),
    );
  });

  it('break between words only, and not between number and unit', () => {
    const line = [{ text: 'Q1 off: ', bold: true }, { text: 'the phones return 24.9\u00a0mA, R3 can take 7.94\u00a0mA' }];
    for (const width of [80, 120, 200, 400]) {
      const lines = wrapped(line, width, 13);
      expect(lines.map(textOf).join(' ')).toBe(textOf(line));
      for (const one of lines) if (textOf(one).includes(' ')) expect(widthOf(one, 13)).toBeLessThanOrEqual(width);
      expect(balanced(line, width, 13).length).toBe(lines.length);
    }
    expect(widthOf(plain('0'), 1000)).toBe(497);
  });
});

describe('a scene in pixels', () => {
  it.each(SCENES)('keeps everything of $name within its width, at every width of the page', (scene) => {
    for (const width of [350, 392, 490, 700]) {
      const picture = layOut(scene, { width });
      for (const shape of picture.shapes) {
        if (shape.kind !== 'text') continue;
        const wide = widthOf(shape.runs, shape.size);
        const left = shape.anchor === 'start' ? shape.x : shape.anchor === 'end' ? shape.x - wide : shape.x - wide / 2;
        expect(left, textOf(shape.runs)).toBeGreaterThanOrEqual(-1);
        expect(left + wide, textOf(shape.runs)).toBeLessThanOrEqual(width + 1);
        expect(shape.y).toBeLessThanOrEqual(picture.height);
        expect(shape.size).toBeGreaterThanOrEqual(12.5);
      }
    }
  });

  it('never joins a trace over a point that is missing', () => {
    const scene = impedanceScene(impedance());
    const gain = layOut(scene).shapes.filter(
      (s): s is LinesShape => s.kind === 'lines' && s.stroke.tone === 'voltl' && s.paths.length === 2,
    );
    expect(gain.length).toBe(1);
    expect(gain[0].paths.map((path) => path.length)).toEqual([40, 40]);
    expect(scene.notes).toEqual(['One point has no gain and is left out.']);
  });

  it('marks headroom and footroom as dimensions with their figures', () => {
    const said = texts(layOut(swingScene(swing(), NAMES)).shapes);
    expect(said).toEqual(expect.arrayContaining(['headroom', '6.17\u00a0V', 'footroom', '0.232\u00a0V', 'Q1 off', 'Q1 saturated', 'rest']));
  });

  it('says over an odd stretch who, when, what was asked and what there was', () => {
    const said = texts(layOut(waveformScene(waveform(), undefined, NAMES)).shapes).join(' ');
    expect(said).toContain('Q1 off, 1.27–2.14\u00a0ms:');
    expect(said).toMatch(/the phones return 24\.9\u00a0mA, R3 can take 7\.94\u00a0mA/);
  });

  it('hatches nothing where nothing is blamed', () => {
    const answer = waveform();
    const quiet = { ...answer, stretches: answer.stretches.map((s) => ({ ...s, cause: null })) };
    const shapes = layOut(waveformScene(quiet, undefined, NAMES)).shapes;
    expect(shapes.some((s) => s.kind === 'lines' && s.stroke.tone === 'hatch')).toBe(false);
    expect(texts(shapes)).toContain('Q1 off, 1.27–2.14\u00a0ms');
  });

  it('draws levels that coincide with a rail as the rail', () => {
    expect(texts(layOut(quiescentScene(quiescent(), SPANS)).shapes)).toContain('gnd, jack');
  });
});

describe('a scene as SVG', () => {
  it.each(SCENES)('is the same as the picture that was looked at: $name', async (scene) => {
    await expect(toSvg(scene)).toMatchFileSnapshot(`snapshots/${scene.name}.svg`);
  });

  it('escapes every text of a sheet', () => {
    const svg = toSvg(swingScene(swing(), { output: '<script>&"\'' }));
    expect(svg).not.toContain('<script');
    expect(svg).toContain('&lt;script&gt;&amp;&quot;&#39;');
  });

  it('takes the page’s colours, and the theme’s where there is no page', () => {
    expect(toSvg(SCENES[0], 'light')).toContain('var(--voltl, #0072b2)');
    expect(toSvg(SCENES[0], 'dark')).toContain('var(--voltl, #7cc2ec)');
  });
});

describe('a scene on a canvas', () => {
  it('draws the same texts and lines as the picture has', () => {
    const said: string[] = [];
    let strokes = 0;
    const nothing = (): void => undefined;
    const canvas: Canvas = {
      fillStyle: '',
      strokeStyle: '',
      lineWidth: 1,
      lineCap: 'butt',
      lineJoin: 'miter',
      font: '',
      textAlign: 'left',
      textBaseline: 'alphabetic',
      beginPath: nothing,
      moveTo: nothing,
      lineTo: nothing,
      closePath: nothing,
      arc: nothing,
      fill: nothing,
      stroke: () => {
        strokes += 1;
      },
      setLineDash: nothing,
      fillText: (text) => said.push(text),
      strokeText: nothing,
      measureText: (text) => ({ width: 7 * text.length }),
      clearRect: nothing,
    };
    const picture = toCanvas(SCENES[1], canvas, 'dark');
    expect(said.join('')).toBe(texts(picture.shapes).join(''));
    expect(strokes).toBe(picture.shapes.filter((s) => s.kind === 'lines' || ('stroke' in s && s.stroke !== undefined)).length);
  });

  it('asks no more than a browser’s 2D context has', () => {
    const draw = (context: CanvasRenderingContext2D): Canvas => context;
    expect(draw).toBeTypeOf('function');
  });
});

describe('a scene in characters', () => {
  it.each(SCENES)('fits $name into 40, 60, 80 and 120 columns', (scene) => {
    for (const columns of [40, 60, 80, 120]) {
      for (const line of toTerminal(scene, { columns }).split('\n')) expect([...line].length).toBeLessThanOrEqual(columns);
    }
  });

  it('shows pattern, bracket and dimensions', () => {
    const text = toTerminal(waveformScene(waveform(), undefined, NAMES), { columns: 80 });
    expect(text).toContain('Q1 off, 1.27–2.14\u00a0ms');
    expect(text).toContain('/');
    expect(toTerminal(swingScene(swing(), NAMES))).toContain('footroom 0.232\u00a0V');
  });

  it('uses colour only when asked', () => {
    const control = String.fromCharCode(27);
    expect(toTerminal(SCENES[0])).not.toContain(control);
    expect(toTerminal(SCENES[0], { colour: true })).toContain(control);
  });
});
