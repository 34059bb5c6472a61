/**
 * A figure of an answer: on a canvas while it lives, as SVG when printed or saved; its numbers as CSV. The shared time
 * cursor lies over it where it has a time axis.
 */
import { createEffect, createMemo, createSignal, For, type JSX, onCleanup, onMount, Show } from 'solid-js';
import { type Canvas, paint } from '../figures/canvas.ts';
import { layOut } from '../figures/layout.ts';
import type { Picture } from '../figures/picture.ts';
import type { Scene } from '../figures/scene.ts';
import { toSvg } from '../figures/svg.ts';
import { download } from './files.ts';
import { prepare } from './ink.ts';
import { theme } from './theme.ts';

export interface FigureProps {
  scene: Scene;
  /** Widest it is drawn, px. */
  most: number;
  children?: JSX.Element;
}

/** Figures are laid out again in steps of 20 px, never shrunk. */
const STEP = 20;

export function Figure(props: FigureProps): JSX.Element {
  let box!: HTMLElement;
  let canvas!: HTMLCanvasElement;
  const [width, setWidth] = createSignal(0);
  const [fonts, setFonts] = createSignal(0);
  onMount(() => {
    const observer = new ResizeObserver(() => setWidth(Math.max(280, Math.floor(Math.min(props.most, box.clientWidth) / STEP) * STEP)));
    observer.observe(box);
    onCleanup(() => observer.disconnect());
    // Canvas text is drawn with what is loaded at that moment.
    void document.fonts.ready.then(() => setFonts((count) => count + 1));
  });
  const picture = createMemo<Picture | null>(() => (width() === 0 ? null : layOut(props.scene, { width: width() })));
  createEffect(() => {
    const drawn = picture();
    fonts();
    if (drawn === null) return;
    const context = prepare(canvas, drawn.width, drawn.height);
    canvas.style.width = `${drawn.width}px`;
    canvas.style.height = `${drawn.height}px`;
    paint(drawn, context as Canvas, theme());
  });
  return (
    <figure class="fig" ref={box} data-figure={props.scene.name}>
      <canvas ref={canvas} role="img" aria-label={`${props.scene.title}. ${props.scene.description}`} />
      {props.children}
      <Show when={props.scene.notes.length > 0}>
        <figcaption>
          <For each={props.scene.notes}>{(note) => <span>{note} </span>}</For>
        </figcaption>
      </Show>
      <div class="take">
        <button type="button" class="txt" on:click={() => download(`${props.scene.name}.svg`, 'image/svg+xml', toSvg(props.scene, 'light', { width: width() }))}>
          SVG
        </button>
        <button type="button" class="txt" on:click={() => download(`${props.scene.name}.csv`, 'text/csv', csvOf(props.scene))}>
          CSV
        </button>
      </div>
    </figure>
  );
}

/** The traces of a scene as columns, one table after another; decimals with points, as RFC 4180 has it. */
export function csvOf(scene: Scene): string {
  const lines: string[] = [];
  for (const panel of scene.columns.flat()) {
    for (const mark of panel.marks) {
      if (mark.kind !== 'trace' && mark.kind !== 'bars') continue;
      const label = mark.kind === 'trace' ? (mark.label ?? []).map((run) => run.text).join('') : '';
      lines.push([quoted(`${panel.x?.name ?? panel.x?.note ?? 'x'} (${panel.x?.unit ?? ''})`), quoted(`${label || (panel.y.name ?? 'y')} (${panel.y.unit})`)].join(','));
      mark.x.forEach((x, k) => lines.push(`${x},${mark.y[k] ?? ''}`));
      lines.push('');
    }
  }
  return `${lines.join('\r\n')}\r\n`;
}

function quoted(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
