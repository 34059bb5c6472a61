/** The tokens of the style sheet as colours for a canvas, read once for each theme. */
import { createMemo, createRoot } from 'solid-js';
import { theme } from './theme.ts';

export type Ink = Readonly<Record<InkName, string>>;
const NAMES = [
  'paper',
  'leaf',
  'ink',
  'ink2',
  'rule',
  'hair',
  'volt',
  'voltl',
  'amp',
  'ampl',
  'lim',
  'ok',
  'okl',
  'mind',
  'mindl',
  'cap',
  'capl',
  'band',
  'hatch',
  'hatch2',
  'env',
  'bar',
] as const;
export type InkName = (typeof NAMES)[number];

export const ink: () => Ink = createRoot(() =>
  createMemo(() => {
    document.documentElement.dataset.theme = theme();
    const style = getComputedStyle(document.documentElement);
    return Object.fromEntries(NAMES.map((name) => [name, style.getPropertyValue(`--${name}`).trim()])) as Record<InkName, string>;
  }),
);

export const SANS = "'Source Sans 3', system-ui, sans-serif";

/** Sizes a canvas for the screen's density and clears it; drawing is in CSS px. */
export function prepare(canvas: HTMLCanvasElement, width: number, height: number): CanvasRenderingContext2D {
  const density = Math.min(3, globalThis.devicePixelRatio || 1);
  const pixels = { width: Math.round(width * density), height: Math.round(height * density) };
  if (canvas.width !== pixels.width || canvas.height !== pixels.height) {
    canvas.width = pixels.width;
    canvas.height = pixels.height;
  }
  const context = canvas.getContext('2d');
  if (context === null) throw new Error('This browser gives no drawing surface.');
  context.setTransform(density, 0, 0, density, 0, 0);
  context.clearRect(0, 0, width, height);
  return context;
}

/** Hatches a rectangle at 45°: the mark of a stretch in which a device is off. */
export function hatch(context: CanvasRenderingContext2D, x: number, y: number, width: number, height: number, colours: Ink): void {
  if (width <= 0) return;
  context.save();
  context.fillStyle = colours.band;
  context.fillRect(x, y, width, height);
  context.beginPath();
  context.rect(x, y, width, height);
  context.clip();
  context.beginPath();
  const pitch = 9.5;
  for (let start = Math.floor((x - height) / pitch) * pitch; start < x + width; start += pitch) {
    context.moveTo(start, y + height);
    context.lineTo(start + height, y);
  }
  context.strokeStyle = colours.hatch;
  context.lineWidth = 1.3;
  context.stroke();
  context.restore();
}
