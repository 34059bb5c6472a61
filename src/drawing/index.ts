/** The drawing: a sheet laid out as a plan, measured, and drawn with live values. */
export { type LayoutOptions, layOut } from './layout.ts';
export type { Habit, Mark, MarkGroup, MarkRole, Run } from './mark.ts';
export { CAPTION_HEIGHT, keyCurrent, marksOf } from './marks.ts';
export type * from './plan.ts';
export { type Score, scoreOf } from './score.ts';
export { drawSvg, escapeXml, type SvgOptions } from './svg.ts';
export { type Face, type TextMetrics, typefaceMetrics } from './text.ts';
export { currentOf, type DeviceState, type DrawingValues } from './values.ts';
