/** The drawing of the stage, as an instrument: volts and currents stand where they belong, everything can be touched. */
import type { JSX } from 'solid-js';
import type { WaveformAnswer } from '../answers/types.ts';
import type { Moment } from '../session/instant.ts';
import type { Frame } from '../session/session.ts';
import type { Sheet } from '../sheet/types.ts';

export interface DrawingProps {
  sheet: Sheet;
  width: number;
  frame: Frame | null;
  moment: Moment | null;
  waveform: WaveformAnswer | undefined;
  faulty: boolean;
  sample: number | null;
  onRest(): void;
  onInstant(): void;
}

export function Drawing(props: DrawingProps): JSX.Element {
  return <figure class="drawing">{props.sheet.title}</figure>;
}
