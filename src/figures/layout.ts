/** Sets a scene out for a width in pixels. Text keeps its size at every width; what gives way is the plot. */
import { layPanel, type Margins, marginsOf, sharedMargins } from './panel.ts';
import type { Picture, Shape } from './picture.ts';
import type { Panel, Scene } from './scene.ts';
import { plain, SIZE, wrapped } from './text.ts';

/** Narrower than this, a column gets the whole width and the next one comes beneath. */
const COLUMN_AT_LEAST = 292;
const COLUMN_GAP = 28;
const ROW_GAP = 18;
const NOTE_LINE = 19;
const NOTE_GAP = 8;

export interface Size {
  /** Px, default 700. */
  width?: number;
}
export const USUAL_WIDTH = 700;

/** One column of panels with shared margins, its top left corner at (`left`, `top`). Returns its height. */
function layColumn(panels: readonly Panel[], left: number, top: number, width: number, shapes: Shape[]): number {
  const margins: Margins = sharedMargins(panels.map((panel) => marginsOf(panel, width)));
  let y = top;
  panels.forEach((panel, k) => {
    const height = layPanel(panel, { left, top: y, width, margins }, shapes);
    y += height + (k < panels.length - 1 ? ROW_GAP : 0);
  });
  return y - top;
}

/** @returns the picture at the scene's natural height for that width */
export function layOut(scene: Scene, size: Size = {}): Picture {
  const width = size.width ?? USUAL_WIDTH;
  const shapes: Shape[] = [];
  const count = scene.columns.length;
  const columnWidth = (width - COLUMN_GAP * (count - 1)) / count;
  const abreast = count === 1 || columnWidth >= COLUMN_AT_LEAST;
  let height = 0;
  scene.columns.forEach((panels, k) => {
    if (abreast) {
      height = Math.max(height, layColumn(panels, k * (columnWidth + COLUMN_GAP), 0, columnWidth, shapes));
    } else {
      height += layColumn(panels, 0, height, width, shapes) + (k < count - 1 ? COLUMN_GAP : 0);
    }
  });
  if (scene.notes.length > 0) height += NOTE_GAP;
  for (const note of scene.notes) {
    for (const line of wrapped(plain(note), width, SIZE.label)) {
      height += NOTE_LINE;
      shapes.push({ kind: 'text', x: 0, y: height - 4, anchor: 'start', size: SIZE.label, runs: line, tone: 'ink2', halo: false });
    }
  }
  return { width, height: Math.ceil(height + 4), shapes };
}
