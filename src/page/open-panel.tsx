/** Where sheets come from: a file, this browser, the listening post's examples, or nothing yet. */
import { createResource, For, type JSX, Show } from 'solid-js';
import { desk } from './desk.ts';
import { EXAMPLES } from './examples.ts';
import { OUTLINES } from './outlines.ts';

const MOST_SHOWN = 6;

export function OpenPanel(props: { onDone(): void; first: boolean }): JSX.Element {
  const [kept] = createResource(async () => {
    try {
      return (await desk.kept()).slice(0, MOST_SHOWN);
    } catch {
      return []; // a browser that keeps nothing has nothing to offer
    }
  });
  const open = (action: () => void): void => {
    action();
    props.onDone();
  };
  return (
    <section
      class="openpanel"
      aria-label="Open a sheet"
      on:keydown={(event) => {
        if (event.key === 'Escape') props.onDone();
      }}
    >
      <Show when={props.first} fallback={<p class="lead">A sheet can also be pasted or dropped anywhere on the page.</p>}>
        <p class="lead first">Open a sheet, paste one, or start from one of these:</p>
      </Show>
      <div class="acts">
        <button
          type="button"
          class="txt"
          ref={(element) => {
            if (!props.first) queueMicrotask(() => element.focus());
          }}
          on:click={() => open(() => void desk.openFile())}
        >
          from a file
        </button>
      </div>
      <h3>Examples from the listening post</h3>
      <ul>
        <For each={EXAMPLES}>
          {(example) => (
            <li>
              <button type="button" class="txt" on:click={() => open(() => desk.openText(example.text))}>
                {example.title.replace(/^Listening post, /, '')}
              </button>
            </li>
          )}
        </For>
      </ul>
      <h3>Start from nothing, with an outline</h3>
      <ul>
        <For each={OUTLINES}>
          {(outline) => (
            <li>
              <button type="button" class="txt" on:click={() => open(() => desk.beginOutline(outline))}>
                {outline.name}
              </button>
            </li>
          )}
        </For>
      </ul>
      <Show when={(kept() ?? []).length > 0}>
        <h3>Kept in this browser</h3>
        <ul>
          <For each={kept()}>
            {(sheet) => (
              <li>
                <button type="button" class="txt" on:click={() => open(() => desk.openKept(sheet))}>
                  {sheet.title || 'without a title'}
                </button>{' '}
                <span class="nil">{new Date(sheet.changed).toLocaleString()}</span>
              </li>
            )}
          </For>
        </ul>
      </Show>
    </section>
  );
}
