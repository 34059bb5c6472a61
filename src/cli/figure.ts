/** Figures as SVG text: an answer's own, and the drawing of a stage. */
import type { Answer, QuiescentAnswer } from '../answers/types.ts';
import { drawSvg, layOut } from '../drawing/index.ts';
import { restLayout, restValues } from '../drawing/rest.ts';
import { impedanceScene, swingScene, toSvg, waveformScene } from '../figures/index.ts';
import type { Sheet } from '../sheet/types.ts';

/** Width of a drawing in a file, px: a page's column (our choice). */
const DRAWING_WIDTH = 700;

/** The drawing of `sheet`, with volts and currents at rest where there is an answer. */
export function drawingOf(sheet: Sheet, rest: QuiescentAnswer | null): string {
  const values = rest === null ? {} : restValues(rest, sheet);
  const plan = layOut(sheet, { width: DRAWING_WIDTH, ...(rest === null ? {} : restLayout(values)) });
  const description = rest === null ? 'The stage, without values.' : rest.sentences.join(' ');
  return drawSvg(plan, values, {
    title: sheet.title || 'A stage',
    description,
    habit: 'rectangle',
    theme: 'paper',
    caption: rest !== null,
  });
}

/** The figure of an answer. */
export function figureOf(answer: Answer, sheet: Sheet): string {
  switch (answer.question) {
    case 'quiescent':
      return drawingOf(sheet, answer);
    case 'swing':
      return toSvg(swingScene(answer, { output: sheet.output }));
    case 'impedance':
      return toSvg(impedanceScene(answer));
    case 'waveform':
      return toSvg(waveformScene(answer, undefined, { output: sheet.output, drive: sheet.drive?.node }));
  }
}
