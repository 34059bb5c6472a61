/**
 * A scene on a canvas, for what moves with a knob. `Canvas` names the few methods that are used, so that no DOM type is
 * needed here; a browser's 2D context has them all.
 */
import { layOut, type Size } from './layout.ts';
import type { Dot, Picture, Shape, Stroke, TextShape } from './picture.ts';
import type { Scene } from './scene.ts';
import { DROP_SCALE, sizeOf } from './text.ts';
import { colourOf, type Theme } from './theme.ts';

export interface Canvas {
  fillStyle: unknown;
  strokeStyle: unknown;
  lineWidth: number;
  lineCap: string;
  lineJoin: string;
  font: string;
  textAlign: string;
  textBaseline: string;
  beginPath(): void;
  moveTo(x: number, y: number): void;
  lineTo(x: number, y: number): void;
  closePath(): void;
  arc(x: number, y: number, radius: number, start: number, end: number): void;
  fill(): void;
  stroke(): void;
  setLineDash(segments: number[]): void;
  fillText(text: string, x: number, y: number): void;
  strokeText(text: string, x: number, y: number): void;
  measureText(text: string): { width: number };
  clearRect(x: number, y: number, width: number, height: number): void;
}

const SANS = "'Source Sans 3', system-ui, sans-serif";
const SERIF = "'STIX Two Text', Georgia, serif";
const FULL_TURN = 2 * Math.PI;
const ALIGNMENT: Readonly<Record<TextShape['anchor'], string>> = { start: 'left', middle: 'center', end: 'right' };

function trace(canvas: Canvas, points: readonly Dot[]): void {
  points.forEach(([x, y], k) => {
    if (k === 0) canvas.moveTo(x, y);
    else canvas.lineTo(x, y);
  });
}

function setStroke(canvas: Canvas, stroke: Stroke, theme: Theme): void {
  canvas.strokeStyle = colourOf(stroke.tone, theme);
  canvas.lineWidth = stroke.width;
  canvas.lineCap = stroke.round ? 'round' : 'butt';
  canvas.lineJoin = stroke.round ? 'round' : 'miter';
  canvas.setLineDash(stroke.dash === undefined ? [] : [...stroke.dash]);
}

function drawText(canvas: Canvas, shape: TextShape, theme: Theme): void {
  // A text of one run is set by its anchor: most are, and measuring takes longer than drawing.
  const single = shape.runs.length === 1;
  canvas.textAlign = single ? ALIGNMENT[shape.anchor] : 'left';
  canvas.textBaseline = 'alphabetic';
  const fontOf = (k: number): string => {
    const run = shape.runs[k];
    const size = sizeOf(run, shape.size) * (run.drop ? DROP_SCALE : 1);
    return `${run.node ? 'italic ' : ''}${run.bold ? '600' : '400'} ${size}px ${run.node ? SERIF : SANS}`;
  };
  const widths = shape.runs.map((run, k) => {
    if (single) return 0;
    canvas.font = fontOf(k);
    return canvas.measureText(run.text).width;
  });
  const whole = widths.reduce((sum, width) => sum + width, 0);
  let x = shape.anchor === 'start' ? shape.x : shape.anchor === 'end' ? shape.x - whole : shape.x - whole / 2;
  shape.runs.forEach((run, k) => {
    const y = shape.y + (run.drop ? 3 : 0);
    canvas.font = fontOf(k);
    if (shape.halo) {
      setStroke(canvas, { tone: 'paper', width: 4, round: true }, theme);
      canvas.strokeText(run.text, x, y);
    }
    canvas.fillStyle = colourOf(run.tone ?? shape.tone, theme);
    canvas.fillText(run.text, x, y);
    x += widths[k];
  });
}

function drawShape(canvas: Canvas, shape: Shape, theme: Theme): void {
  switch (shape.kind) {
    case 'lines':
      canvas.beginPath();
      for (const path of shape.paths) trace(canvas, path);
      setStroke(canvas, shape.stroke, theme);
      canvas.stroke();
      return;
    case 'area':
    case 'discs':
      canvas.beginPath();
      if (shape.kind === 'area') {
        trace(canvas, shape.points);
        canvas.closePath();
      } else {
        for (const [x, y] of shape.centres) {
          canvas.moveTo(x + shape.radius, y);
          canvas.arc(x, y, shape.radius, 0, FULL_TURN);
        }
      }
      canvas.fillStyle = colourOf(shape.fill, theme);
      canvas.fill();
      if (shape.stroke !== undefined) {
        setStroke(canvas, shape.stroke, theme);
        canvas.stroke();
      }
      return;
    case 'text':
      drawText(canvas, shape, theme);
  }
}

/** Draws a picture that was laid out before, from the canvas' origin. */
export function paint(picture: Picture, canvas: Canvas, theme: Theme = 'light'): void {
  canvas.clearRect(0, 0, picture.width, picture.height);
  for (const shape of picture.shapes) drawShape(canvas, shape, theme);
}

/**
 * Lays the scene out and draws it. Returns the picture, whose height the canvas should have (scale the context for the
 * screen's pixel ratio before).
 */
export function toCanvas(scene: Scene, canvas: Canvas, theme: Theme = 'light', size: Size = {}): Picture {
  const picture = layOut(scene, size);
  paint(picture, canvas, theme);
  return picture;
}
