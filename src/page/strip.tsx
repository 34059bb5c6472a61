/**
 * One settled period of the output, and the cursor that every drawing and figure shares. At rest until touched.
 */
import { createEffect, createMemo, For, type JSX, Show } from 'solid-js';
import type { ImpedanceAnswer, QuiescentAnswer, WaveformAnswer } from '../answers/types.ts';
import type { Moment } from '../session/instant.ts';
import type { Sheet } from '../sheet/types.ts';
import { say, split } from '../words/numbers.ts';
import { stateWord } from '../words/waveform.ts';
import { hatch, ink, prepare, SANS } from './ink.ts';

export interface StripProps {
  sheet: Sheet;
  waveform: WaveformAnswer;
  rest: QuiescentAnswer | undefined;
  /** Of the same input, for the dotted line of a stage that never runs out. */
  smallSignal: ImpedanceAnswer | undefined;
  width: number;
  /** Output before the verb that is being tried, in volts at the same instants; faint. */
  before: number[] | undefined;
  sample: number | null;
  moment: Moment;
  onSample(sample: number): void;
}

const TOP = 26;

/** What comes out of a stage that is straight at every size: its small-signal gain times the generator's sine. */
function straight(props: StripProps): ((time: number) => number) | null {
  const { drive, output } = props.sheet;
  const gain = props.smallSignal?.overallGain;
  const rest = output === undefined ? undefined : props.rest?.nodes[output];
  if (drive?.waveform !== 'sine' || drive.frequency === undefined || drive.amplitude === undefined || drive.atNode) return null;
  if (gain?.magnitude == null || gain.phase == null || rest === undefined || props.smallSignal?.frequency !== drive.frequency) return null;
  const peak = { peakToPeak: 0.5, peak: 1, rms: Math.SQRT2 }[drive.amplitude.form] * drive.amplitude.volts * gain.magnitude;
  const turn = 2 * Math.PI * drive.frequency;
  const lead = (gain.phase * Math.PI) / 180;
  return (time) => rest + peak * Math.sin(turn * time + lead);
}

export function Strip(props: StripProps): JSX.Element {
  let canvas!: HTMLCanvasElement;
  const height = (): number => (props.width < 400 ? 76 : 96);
  const span = (): number => props.waveform.period ?? props.waveform.duration ?? 1;
  const output = (): number[] => (props.sheet.output === undefined ? [] : (props.waveform.nodes[props.sheet.output] ?? []));

  createEffect(() => {
    const colours = ink();
    const width = props.width;
    const tall = height();
    const context = prepare(canvas, width, tall);
    const volts = output();
    if (volts.length === 0) return;
    const top = TOP - (tall === 76 ? 8 : 0);
    const bottom = tall - 8;
    const ideal = straight(props);
    let low = Math.min(...volts, 0);
    let high = Math.max(...volts, 0);
    const rest = props.sheet.output === undefined ? 0 : (props.rest?.nodes[props.sheet.output] ?? 0);
    if (Math.min(...volts) > 0.2 * Math.max(...volts)) low = Math.min(...volts);
    if (ideal !== null) {
      for (let k = 0; k < 32; k += 1) {
        low = Math.min(low, ideal((k / 32) * span()));
        high = Math.max(high, ideal((k / 32) * span()));
      }
    }
    for (const value of props.before ?? []) {
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
    const room = Math.max(high - low, 1e-6);
    const x = (time: number): number => (time / span()) * width;
    const y = (value: number): number => bottom - 4 - ((value - low) / room) * (bottom - top - 10);

    // Why it is as it is: the stretches first, under the trace.
    context.font = `600 14px ${SANS}`;
    const labels = new Map<number, string>();
    for (const stretch of props.waveform.stretches) {
      if (stretch.state !== 'off' || stretch.cause === null) continue;
      for (const shift of [0, -span()]) {
        const from = Math.max(0, x(stretch.from + shift));
        const to = Math.min(width, x(stretch.to + shift));
        if (to <= from) continue;
        hatch(context, from, top, to - from, bottom - top, colours);
        if (to - from > 60) {
          const key = Math.round(from);
          labels.set(key, labels.has(key) ? `${labels.get(key)?.replace(/ off$/, '')}, ${stretch.part} off` : `${stretch.part} off`);
        }
      }
    }
    context.lineWidth = 1;
    context.strokeStyle = colours.rule;
    context.beginPath();
    const zero = Math.round(y(low <= 0 && high >= 0 ? 0 : rest)) + 0.5;
    context.moveTo(0, zero);
    context.lineTo(width, zero);
    context.stroke();
    trace(context, props.before, x, y, span(), colours.rule, 1.6, []);
    if (ideal !== null) {
      context.beginPath();
      for (let k = 0; k <= 128; k += 1) {
        const time = (k / 128) * span();
        if (k === 0) context.moveTo(x(time), y(ideal(time)));
        else context.lineTo(x(time), y(ideal(time)));
      }
      context.setLineDash([1.5, 3]);
      context.strokeStyle = colours.ink;
      context.lineWidth = 1.1;
      context.stroke();
      context.setLineDash([]);
    }
    trace(context, volts, x, y, span(), colours.voltl, 2.2, []);
    for (const [from, text] of labels) {
      context.lineWidth = 4;
      context.strokeStyle = colours.paper;
      context.strokeText(text, from + 6, top + 13);
      context.fillStyle = colours.lim;
      context.fillText(text, from + 6, top + 13);
    }
    ruler(context, width, bottom, span(), colours.ink2);
    const { sample } = props;
    if (sample !== null && volts[sample] !== undefined) {
      const at = x(props.waveform.time[sample]);
      context.strokeStyle = colours.ink;
      context.lineWidth = 1.1;
      context.beginPath();
      context.moveTo(at, top - 4);
      context.lineTo(at, bottom);
      context.stroke();
      context.fillStyle = colours.ink;
      context.beginPath();
      context.moveTo(at, top - 4);
      context.lineTo(at - 6, top - 12);
      context.lineTo(at + 6, top - 12);
      context.fill();
      context.beginPath();
      context.arc(at, y(volts[sample]), 3.6, 0, 2 * Math.PI);
      context.fillStyle = colours.paper;
      context.fill();
      context.lineWidth = 1.6;
      context.stroke();
    }
  });

  const samples = (): number => props.waveform.time.length;
  function go(sample: number): void {
    const count = samples();
    props.onSample(((Math.round(sample) % count) + count) % count);
  }
  function key(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const count = samples();
    const fine = Math.max(1, Math.round(count / 128));
    const page = Math.round(count / 16);
    const from = props.sample ?? 0;
    const moves: Record<string, number> = {
      ArrowRight: from + fine,
      ArrowUp: from + fine,
      ArrowLeft: from - fine,
      ArrowDown: from - fine,
      PageUp: from + page,
      PageDown: from - page,
      Home: 0,
      End: count - 1,
    };
    if (!(event.key in moves)) return;
    event.preventDefault();
    go(moves[event.key]);
  }
  let dragging = false;
  function point(event: PointerEvent): void {
    const box = canvas.getBoundingClientRect();
    const share = Math.min(1, Math.max(0, (event.clientX - box.left) / box.width));
    props.onSample(Math.min(samples() - 1, Math.round(share * samples())));
  }
  const said = createMemo(() => {
    if (props.moment.time === null || props.sample === null) return 'at rest';
    const pieces = [say(props.moment.time, 's')];
    const out = props.sheet.output;
    if (out !== undefined) pieces.push(`${out} ${say(props.moment.nodes[out], 'V')}`);
    for (const stretch of props.moment.stretches) pieces.push(`${stretch.part} ${stateWord(stretch.state)}`);
    return pieces.join(', ');
  });

  return (
    <div
      class="strip"
      tabIndex={0}
      role="slider"
      aria-label="Instant within the settled period"
      aria-valuetext={said()}
      aria-valuenow={props.sample === null ? 0 : props.sample / samples()}
      aria-valuemin={0}
      aria-valuemax={1}
      on:keydown={key}
      on:pointerdown={(event) => {
        dragging = true;
        event.currentTarget.setPointerCapture(event.pointerId);
        point(event);
      }}
      on:pointermove={(event) => {
        if (dragging) point(event);
      }}
      on:pointerup={() => {
        dragging = false;
      }}
      on:pointercancel={() => {
        dragging = false;
      }}
    >
      {/* biome-ignore lint/a11y/noAriaHiddenOnFocusable: a canvas without a tab stop; the slider around it says what it shows. */}
      <canvas ref={canvas} style={{ height: `${height()}px` }} aria-hidden="true" />
      <Readings {...props} />
    </div>
  );
}

/** What is wanted beside what flows, at the cursor or, at rest, over the period. */
function Readings(props: StripProps): JSX.Element {
  const time = (): { digits: string; unit: string } => split(props.moment.time, 's', { zeros: 'keep' });
  const told = (): WaveformAnswer['stretches'] => {
    if (props.sample !== null) return props.moment.stretches.filter((stretch) => stretch.cause !== null);
    return [];
  };
  const out = (): string | undefined => props.sheet.output;
  return (
    <p class="read">
      <Show when={props.sample !== null} fallback={<span>Drag along the period to see the currents of an instant on the drawing.</span>}>
        <span>
          <b>{time().digits}</b> {time().unit}
        </span>
        <Show when={out()}>
          {(name) => (
            <>
              <span class="nod">{name()}</span>
              <span class="volt">{say(props.moment.nodes[name()], 'V')}</span>
            </>
          )}
        </Show>
        <For each={told().slice(0, 1)}>
          {(stretch) => (
            <Show when={stretch.cause?.demand}>
              {(demand) => (
                <>
                  <span>wanted</span>
                  <span class="cur">{say(Math.abs(demand().amperes), 'A')}</span>
                  <span>{demand().part} takes</span>
                  <span class="cur">{say(Math.abs(flowing(props.moment, demand().part) ?? demand().capacity), 'A')}</span>
                </>
              )}
            </Show>
          )}
        </For>
        <For each={props.moment.stretches.slice(0, 2)}>
          {(stretch) => (
            <span>
              {stretch.part} <b>{stateWord(stretch.state)}</b>
            </span>
          )}
        </For>
      </Show>
    </p>
  );
}

function flowing(moment: Moment, part: string): number | null {
  const currents = moment.currents[part];
  if (currents === undefined) return null;
  return 'along' in currents ? currents.along : currents.collector;
}

function trace(
  context: CanvasRenderingContext2D,
  volts: readonly number[] | undefined,
  x: (time: number) => number,
  y: (value: number) => number,
  span: number,
  colour: string,
  weight: number,
  dash: number[],
): void {
  if (volts === undefined || volts.length === 0) return;
  context.beginPath();
  for (let k = 0; k <= volts.length; k += 1) {
    const at = x((k / volts.length) * span);
    const value = y(volts[k % volts.length]);
    if (k === 0) context.moveTo(at, value);
    else context.lineTo(at, value);
  }
  context.setLineDash(dash);
  context.lineJoin = 'round';
  context.strokeStyle = colour;
  context.lineWidth = weight;
  context.stroke();
  context.setLineDash([]);
}

/** A ruler in time along the foot: round steps, every fifth one long. */
function ruler(context: CanvasRenderingContext2D, width: number, y: number, span: number, colour: string): void {
  const raw = span / 22;
  const power = 10 ** Math.floor(Math.log10(raw));
  const size = [1, 2, 5, 10].map((factor) => factor * power).find((step) => step >= raw) ?? raw;
  context.beginPath();
  context.moveTo(0, y + 0.5);
  context.lineTo(width, y + 0.5);
  for (let index = 0; index * size <= span; index += 1) {
    const x = Math.round((index * size * width) / span) + 0.5;
    context.moveTo(x, y);
    context.lineTo(x, y + (index % 5 === 0 ? 6 : 3));
  }
  context.strokeStyle = colour;
  context.lineWidth = 1;
  context.stroke();
}
