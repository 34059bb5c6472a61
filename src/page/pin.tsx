/** A small settled waveform pinned beside its node: hatched where the cause is, all of them to one scale. */
import { createMemo, For, type JSX, Show } from 'solid-js';
import type { WaveformAnswer } from '../answers/types.ts';
import type { Pinned } from '../session/pins.ts';
import { say } from '../words/numbers.ts';

export interface PinProps {
  pin: Pinned;
  waveform: WaveformAnswer | undefined;
  /** Volts for the height of the box. */
  voltsHigh: number;
  sample: number | null;
}

export function Pin(props: PinProps): JSX.Element {
  const box = () => ({
    x: props.pin.box.left,
    y: props.pin.box.top,
    width: props.pin.box.right - props.pin.box.left,
    height: props.pin.box.bottom - props.pin.box.top,
  });
  const samples = (): readonly number[] | undefined => props.waveform?.nodes[props.pin.node];
  const span = (): number => props.waveform?.period ?? props.waveform?.duration ?? 1;
  const middle = (): number => {
    const measures = props.waveform?.measures[props.pin.node];
    return measures === undefined ? 0 : (measures.maximum + measures.minimum) / 2;
  };
  const y = (volts: number): number => box().y + box().height / 2 - ((volts - middle()) / props.voltsHigh) * box().height;
  const x = (sample: number): number => box().x + (sample / (samples()?.length ?? 1)) * box().width;
  const path = createMemo(() => {
    const volts = samples();
    if (volts === undefined) return '';
    const stride = Math.max(1, Math.floor(volts.length / box().width / 0.6));
    let drawn = '';
    for (let k = 0; k <= volts.length; k += stride)
      drawn += `${k === 0 ? 'M' : 'L'}${x(k).toFixed(1)} ${y(volts[k % volts.length]).toFixed(1)}`;
    return drawn;
  });
  const stretches = createMemo(() => {
    const spans: { from: number; to: number }[] = [];
    for (const stretch of props.waveform?.stretches ?? []) {
      if (stretch.cause === null) continue;
      for (const shift of [0, -span()]) {
        const from = Math.max(0, (stretch.from + shift) / span());
        const to = Math.min(1, (stretch.to + shift) / span());
        if (to > from) spans.push({ from: box().x + from * box().width, to: box().x + to * box().width });
      }
    }
    return spans;
  });
  const zero = (): number => (middle() === 0 || Math.abs(middle()) < props.voltsHigh / 2 ? y(0) : y(middle()));
  return (
    <Show when={samples()}>
      {/* biome-ignore lint/a11y/noAriaHiddenOnFocusable: a group without a tab stop; the waveform section says what it shows. */}
      <g class="pin" aria-hidden="true">
        <path class="leader" d={`M${props.pin.from.x} ${props.pin.from.y}L${props.pin.to.x} ${props.pin.to.y}`} />
        <rect class="pinbox" {...box()} />
        <For each={stretches()}>
          {(stretch) => (
            <>
              <rect class="band" x={stretch.from} y={box().y} width={stretch.to - stretch.from} height={box().height} />
              <path class="hatching" d={hatching(stretch.from, stretch.to, box().y, box().y + box().height)} />
            </>
          )}
        </For>
        <path class="zero" d={`M${box().x} ${zero()}h${box().width}`} />
        <path class="tr" d={path()} />
        <Show when={props.sample !== null && samples()?.[props.sample] !== undefined ? props.sample : undefined}>
          {(sample) => (
            <>
              <path class="curs" d={`M${x(sample())} ${box().y}v${box().height}`} />
              <circle class="cdot" cx={x(sample())} cy={y(samples()?.[sample()] ?? 0)} r="3" />
            </>
          )}
        </Show>
        <text x={box().x} y={box().y - 5}>
          <tspan class="nod">{props.pin.node}</tspan>{' '}
          <tspan class="small">{say(props.waveform?.measures[props.pin.node]?.peakToPeak, 'V')} p-p</tspan>
        </text>
      </g>
    </Show>
  );
}

/** Lines at 45° within a box, in register with the page. */
function hatching(left: number, right: number, top: number, bottom: number): string {
  const pitch = 8;
  let path = '';
  for (let sum = Math.ceil((left + top) / pitch) * pitch; sum <= right + bottom; sum += pitch) {
    const from = Math.max(left, sum - bottom);
    const to = Math.min(right, sum - top);
    if (to > from) path += `M${from.toFixed(1)} ${(sum - from).toFixed(1)}L${to.toFixed(1)} ${(sum - to).toFixed(1)}`;
  }
  return path;
}
