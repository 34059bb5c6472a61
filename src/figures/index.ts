/** Figures: a scene for each answer, and three ways to draw it. */
export { type Canvas, paint, toCanvas } from './canvas.ts';
export { hatch } from './hatch.ts';
export { impedanceScene } from './impedance.ts';
export { layOut, type Size } from './layout.ts';
export type { Picture } from './picture.ts';
export { quiescentScene, type Spans, spansOf } from './quiescent.ts';
export type { Scene } from './scene.ts';
export { spectrumScene } from './spectrum.ts';
export { toSvg } from './svg.ts';
export { type Names, patternOf, swingScene } from './swing.ts';
export { type TerminalSize, toTerminal } from './terminal.ts';
export { colourOf, propertyOf, type Theme } from './theme.ts';
export { type WaveformNames, waveformScene } from './waveform.ts';
