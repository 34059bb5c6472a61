/**
 * A figure of an answer: on a canvas while it lives, as SVG when printed or saved; its numbers as CSV. The shared time
 * cursor lies over it where it has a time axis.
 */
import { createEffect, createMemo, createSignal, type JSX, onCleanup, onMount, Show } from 'solid-js';
import { type Canvas, paint } from '../figures/canvas.ts';
import { layOut } from '../figures/layout.ts';
import { marginsOf, sharedMargins } from '../figures/panel.ts';
import type { Picture } from '../figures/picture.ts';
import type { Scene } from '../figures/scene.ts';
import { download } from './files.ts';
import { prepare } from './ink.ts';
import { theme } from './theme.ts';

export interface FigureProps {
  /** Made only when it is in view; null leaves the last one standing. */
  scene(): Scene | null;
  /** Widest it is drawn, px. */
  most: number;
  /** The shared time cursor, where the horizontal axis is one period: its share of it, null at rest. */
  cursor?: { share: number | null; onShare(share: number): void };
}

/** Figures are laid out again in steps of 20 px, never shrunk. */
const STEP = 20;
/** Height of the horizontal axis with its title, px: the cursor ends above it. */
const FOOT = 40;

export function Figure(props: FigureProps): JSX.Element {
  let box!: HTMLElement;
  let canvas!: HTMLCanvasElement;
  const [width, setWidth] = createSignal(0);
  const [fonts, setFonts] = createSignal(0);
  const [near, setNear] = createSignal(false);
  onMount(() => {
    // Out of view nothing is laid out: a drag pays for what the reader sees.
    const watcher = new IntersectionObserver((entries) => setNear(entries.at(-1)?.isIntersecting ?? false), { rootMargin: '200px' });
    watcher.observe(box);
    onCleanup(() => watcher.disconnect());
    const observer = new ResizeObserver(() => setWidth(Math.max(280, Math.floor(Math.min(props.most, box.clientWidth) / STEP) * STEP)));
    observer.observe(box);
    onCleanup(() => observer.disconnect());
    // Canvas text is drawn with what is loaded at that moment.
    void document.fonts.ready.then(() => setFonts((count) => count + 1));
  });
  const drawn = createMemo<{ scene: Scene; picture: Picture } | null>((last) => {
    if (width() === 0 || (last !== null && last.picture.width === width() && !near())) return last;
    const scene = props.scene();
    return scene === null ? last : { scene, picture: layOut(scene, { width: width() }) };
  }, null);
  createEffect(() => {
    const now = drawn();
    fonts();
    if (now === null) return;
    const { picture } = now;
    const context = prepare(canvas, picture.width, picture.height);
    canvas.style.width = `${picture.width}px`;
    canvas.style.height = `${picture.height}px`;
    paint(picture, context as Canvas, theme());
  });
  /** Where the plots stand in the figure, px. */
  const plot = createMemo(() => {
    const now = drawn();
    if (now === null || props.cursor === undefined) return null;
    const margins = sharedMargins((now.scene.columns[0] ?? []).map((panel) => marginsOf(panel, now.picture.width)));
    return { left: margins.left, right: now.picture.width - margins.right };
  });
  let dragging = false;
  function share(event: PointerEvent): void {
    const range = plot();
    if (range === null) return;
    const x = event.clientX - canvas.getBoundingClientRect().left;
    props.cursor?.onShare(Math.min(1, Math.max(0, (x - range.left) / (range.right - range.left))));
  }
  async function take(kind: 'svg' | 'csv'): Promise<void> {
    const scene = props.scene();
    if (scene === null) return;
    if (kind === 'svg') {
      const { toSvg } = await import('../figures/svg.ts');
      download(`${scene.name}.svg`, 'image/svg+xml', toSvg(scene, 'light', { width: width() }));
    } else download(`${scene.name}.csv`, 'text/csv', csvOf(scene));
  }
  return (
    <figure class="fig" ref={box} data-figure={drawn()?.scene.name}>
      <canvas
        ref={canvas}
        role="img"
        classList={{ timed: props.cursor !== undefined }}
        on:pointerdown={(event) => {
          if (props.cursor === undefined) return;
          canvas.setPointerCapture(event.pointerId);
          dragging = true;
          share(event);
        }}
        on:pointermove={(event) => {
          if (dragging) share(event);
        }}
        on:pointerup={() => {
          dragging = false;
        }}
        on:pointercancel={() => {
          dragging = false;
        }}
        aria-label={`${drawn()?.scene.title ?? ''}. ${drawn()?.scene.description ?? ''}`}
      />
      <Show when={props.cursor !== undefined && props.cursor.share !== null && plot() !== null}>
        <div
          class="figcursor"
          style={{
            left: `${(plot()?.left ?? 0) + (props.cursor?.share ?? 0) * ((plot()?.right ?? 0) - (plot()?.left ?? 0))}px`,
            height: `${(drawn()?.picture.height ?? 0) - FOOT}px`,
          }}
        />
      </Show>
      <div class="take">
        <button
          type="button"
          class="txt"
          aria-label={`Save the figure ${drawn()?.scene.name ?? ''} as SVG`}
          on:click={() => void take('svg')}
        >
          SVG
        </button>
        <button
          type="button"
          class="txt"
          aria-label={`Save the figures of ${drawn()?.scene.name ?? ''} as CSV`}
          on:click={() => void take('csv')}
        >
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
      lines.push(
        [
          quoted(`${panel.x?.name ?? panel.x?.note ?? 'x'} (${panel.x?.unit ?? ''})`),
          quoted(`${label || (panel.y.name ?? 'y')} (${panel.y.unit})`),
        ].join(','),
      );
      lines.push(...mark.x.map((x, k) => `${x},${mark.y[k] ?? ''}`));
      lines.push('');
    }
  }
  return `${lines.join('\r\n')}\r\n`;
}

function quoted(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
