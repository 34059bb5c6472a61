/** What a drawing is made of once it has its places: strokes, surfaces and words in groups, for any renderer. */
import type { SpanRole } from './plan.ts';

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
