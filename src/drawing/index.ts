/** The drawing: a sheet laid out as a plan, measured, and drawn with live values. */
export { type LayoutOptions, layOut } from './layout.ts';
export { CAPTION_HEIGHT, type Habit, keyCurrent, type Mark, type MarkGroup, type MarkRole, marksOf, type Run } from './marks.ts';
export type * from './plan.ts';
export { type Score, scoreOf } from './score.ts';
export { drawSvg, escapeXml, type SvgOptions } from './svg.ts';
export { type Face, type TextMetrics, typefaceMetrics } from './text.ts';
export { currentOf, type DeviceState, type DrawingValues } from './values.ts';
