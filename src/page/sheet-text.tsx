/** The sheet's text and its problems, one key away from the drawing. */
import { createEffect, For, type JSX, onCleanup, onMount, Show } from 'solid-js';
import type { Problem } from '../sheet/types.ts';
import type { Editor } from './editor-view.ts';

export interface SheetTextProps {
  text: string;
  problems: readonly Problem[];
  words: string[];
  onChange(text: string): void;
  onLeave(): void;
}

export function SheetText(props: SheetTextProps): JSX.Element {
  let host!: HTMLDivElement;
  let editor: Editor | null = null;
  let gone = false;
  onMount(async () => {
    const { mountEditor } = await import('./editor-view.ts');
    if (gone) return;
    editor = mountEditor(host, { text: props.text, words: () => props.words, onChange: props.onChange, onLeave: props.onLeave });
    editor.setProblems(props.problems);
    editor.focus();
    host.scrollIntoView({ block: 'nearest' });
  });
  // Read before asking whether the editor is there: what is not read is not followed.
  createEffect(() => {
    const { text } = props;
    editor?.setText(text);
  });
  createEffect(() => {
    const { problems } = props;
    editor?.setProblems(problems);
  });
  onCleanup(() => {
    gone = true;
    editor?.destroy();
  });
  return (
    <section class="sheet" aria-label="Text of the sheet">
      <div ref={host} class="editor" />
      <Problems problems={props.problems} onGo={(problem) => editor?.goTo(problem.place.line, problem.place.column)} />
    </section>
  );
}

/** Every problem with its line, what is wrong and what would be right. */
export function Problems(props: { problems: readonly Problem[]; onGo(problem: Problem): void }): JSX.Element {
  return (
    <Show when={props.problems.length > 0}>
      <ul class="problems" aria-label="Problems of the sheet">
        <For each={props.problems}>
          {(problem) => (
            <li class={problem.severity}>
              <button type="button" on:click={() => props.onGo(problem)}>
                line {problem.place.line}
              </button>
              {problem.sentence}
            </li>
          )}
        </For>
      </ul>
    </Show>
  );
}
