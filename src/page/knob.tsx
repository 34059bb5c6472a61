/**
 * A number over a ruler. Dragging moves the ruler under the fixed pointer, six pixels a step; the wheel and the arrow
 * keys go through preferred values; typing replaces the number; Escape restores; a double click brings back the value
 * that the sheet was saved with.
 */
import { createMemo, createSignal, createUniqueId, type JSX, onCleanup, Show } from 'solid-js';
import { decade, type Scale, step, ticks } from '../session/steps.ts';
import { split, type Unit } from '../words/numbers.ts';

export interface KnobProps {
  /** The quantity's name, as a screen reader says it: `peak to peak, open circuit`. */
  name: string;
  /** What stands beside the number, where it is shorter than the name. */
  label?: string;
  unit: Unit;
  value: number;
  /** Value that the sheet was saved with, for the double click. */
  saved: number;
  scale: Scale;
  /** Reads what was typed: a value in SI units, or a sentence that says what would be right. */
  read(text: string): { value: number } | { problem: string };
  /** While turning: everything on the page follows. */
  onTurn(value: number): void;
  /** Turning is over: one undoable step. */
  onRelease(value: number): void;
  /** Turning was called off. */
  onRestore(): void;
  autofocus?: boolean;
}

const STEP = 6;
const WIDTH = 150;
/** Arrow keys and wheel steps within this time are one undoable step, ms. */
const SETTLE = 500;

export function Knob(props: KnobProps): JSX.Element {
  const [typing, setTyping] = createSignal<string | null>(null);
  const [problem, setProblem] = createSignal('');
  const id = createUniqueId();
  let slider!: HTMLDivElement;
  let turned: number | null = null;
  let settle: ReturnType<typeof setTimeout> | undefined;
  let drag: { id: number; x: number; from: number; moved: boolean } | null = null;

  const current = (): number => turned ?? props.value;
  const turn = (value: number): void => {
    if (value === current()) return;
    turned = value;
    props.onTurn(value);
  };
  const release = (): void => {
    clearTimeout(settle);
    if (turned === null) return;
    const value = turned;
    turned = null;
    props.onRelease(value);
  };
  const restore = (): void => {
    clearTimeout(settle);
    if (turned === null) return;
    turned = null;
    props.onRestore();
  };
  const nudge = (value: number): void => {
    turn(value);
    clearTimeout(settle);
    settle = setTimeout(release, SETTLE);
  };
  onCleanup(release);

  const said = createMemo(() => split(props.value, props.unit));
  const marks = createMemo(() => {
    let path = `M0 .5H${WIDTH}`;
    for (const mark of ticks(props.scale, props.value, WIDTH / 2 / STEP)) {
      path += `M${(WIDTH / 2 + mark.at * STEP).toFixed(1)} 0V${mark.long ? 9 : 5}`;
    }
    return path;
  });

  function onKey(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const grain = event.shiftKey ? 'fine' : 'coarse';
    const moves: Record<string, () => number> = {
      ArrowUp: () => step(props.scale, current(), 1, grain),
      ArrowRight: () => step(props.scale, current(), 1, grain),
      ArrowDown: () => step(props.scale, current(), -1, grain),
      ArrowLeft: () => step(props.scale, current(), -1, grain),
      PageUp: () => decade(props.scale, current(), true),
      PageDown: () => decade(props.scale, current(), false),
      Home: () => props.scale.least,
      End: () => props.scale.most,
    };
    const move = moves[event.key];
    if (move !== undefined) nudge(move());
    else if (event.key === 'Escape' && turned !== null) restore();
    else if (event.key === 'Enter') setTyping('');
    else if (/^[0-9.+-]$/.test(event.key)) setTyping(event.key);
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  function accept(text: string): void {
    const read = props.read(text);
    if ('problem' in read) {
      setProblem(read.problem);
      return;
    }
    setTyping(null);
    setProblem('');
    turned = null;
    props.onRelease(read.value);
    slider.focus();
  }

  function wheel(event: WheelEvent): void {
    if (event.deltaY === 0) return;
    event.preventDefault();
    nudge(step(props.scale, current(), event.deltaY < 0 ? 1 : -1, event.shiftKey ? 'fine' : 'coarse'));
  }

  return (
    <div class="knobbox">
      <div
        ref={(element) => {
          slider = element;
          if (props.autofocus === true) queueMicrotask(() => element.focus());
        }}
        class="knob"
        role="slider"
        tabIndex={0}
        aria-label={props.name}
        aria-valuenow={props.value}
        aria-valuemin={props.scale.least}
        aria-valuemax={props.scale.most}
        aria-valuetext={`${said().digits} ${said().unit}`}
        aria-describedby={problem() === '' ? undefined : `${id}-problem`}
        on:keydown={onKey}
        on:wheel={{ handleEvent: wheel, passive: false }}
        on:pointerdown={(event) => {
          if (event.button !== 0) return;
          drag = { id: event.pointerId, x: event.clientX, from: current(), moved: false };
          slider.setPointerCapture(event.pointerId);
        }}
        on:pointermove={(event) => {
          if (drag === null || event.pointerId !== drag.id) return;
          const steps = Math.round((drag.x - event.clientX) / STEP);
          if (steps !== 0) drag.moved = true;
          if (drag.moved) turn(step(props.scale, drag.from, steps, 'fine'));
        }}
        on:pointerup={(event) => {
          if (drag === null) return;
          const { moved } = drag;
          drag = null;
          if (moved) release();
          else if ((event.target as Element).closest('.kv') !== null) setTyping('');
        }}
        on:pointercancel={() => {
          drag = null;
          restore();
        }}
        on:dblclick={() => {
          setTyping(null);
          turned = null;
          props.onRelease(props.saved);
        }}
        on:blur={release}
      >
        <span class="kl">{props.label ?? props.name}</span>
        <span class="kv">
          {said().digits} <i>{said().unit}</i>
        </span>
        <svg class="ruler" viewBox={`0 0 ${WIDTH} 16`} height="16" preserveAspectRatio="xMidYMin slice" aria-hidden="true">
          <path d={marks()} />
          <path class="ptr" d={`M${WIDTH / 2} 3l4.5 9h-9z`} />
        </svg>
      </div>
      <Show when={typing() !== null}>
        <input
          ref={(element) => queueMicrotask(() => element.focus())}
          type="text"
          class="typed"
          aria-label={`${props.name}, new value`}
          aria-invalid={problem() !== ''}
          value={typing() ?? ''}
          on:keydown={(event) => {
            event.stopPropagation();
            if (event.key === 'Enter') accept(event.currentTarget.value);
            else if (event.key === 'Escape') {
              setTyping(null);
              setProblem('');
              slider.focus();
            }
          }}
          on:blur={(event) => {
            if (typing() === null) return;
            if (event.currentTarget.value.trim() === '') setTyping(null);
            else accept(event.currentTarget.value);
          }}
          on:dblclick={() => {
            setTyping(null);
            props.onRelease(props.saved);
          }}
        />
      </Show>
      <Show when={problem() !== ''}>
        <p class="kerr" id={`${id}-problem`} role="alert">
          {problem()}
        </p>
      </Show>
    </div>
  );
}
