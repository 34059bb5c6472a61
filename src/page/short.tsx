/** The short answers: words carry the verdict, the mark comes second, each line leads to its section. */
import { For, type JSX, Show } from 'solid-js';
import type { Question } from '../answers/types.ts';
import type { Frame } from '../session/session.ts';
import { shortAnswer, verdictOf } from '../session/verdicts.ts';
import { Mark } from './mark.tsx';
import { store } from './store.ts';

export const QUESTIONS: readonly Question[] = ['quiescent', 'swing', 'impedance', 'waveform'];

export function ShortAnswers(props: { frame: Frame | null }): JSX.Element {
  return (
    <nav class="short" aria-label="The questions, answered in short">
      <ol>
        <For each={QUESTIONS}>
          {(question) => {
            const answer = () => props.frame?.answers[question];
            const verdict = () => (props.frame === null ? { mark: 'none' as const, words: '' } : verdictOf(answer(), props.frame.sheet));
            return (
              <li data-short={question} classList={{ stale: props.frame?.stale.has(question) ?? false }}>
                <a
                  href={`#${question}`}
                  on:click={() => {
                    if (store.projected() !== null) store.setProjected(question);
                  }}
                >
                  <span class="k">{question}</span>
                  <span class={`verdict ${verdict().mark}`}>
                    <Show when={verdict().words !== ''}>
                      {verdict().words} <Mark kind={verdict().mark} />
                    </Show>
                  </span>
                  <span class="a">
                    <Show
                      when={props.frame !== null && answer() !== undefined ? { answer: answer()!, sheet: props.frame.sheet } : undefined}
                    >
                      {(given) => (
                        <For each={shortAnswer(given().answer, given().sheet)}>
                          {(piece) => (piece.strong ? <b>{piece.text}</b> : piece.text)}
                        </For>
                      )}
                    </Show>
                  </span>
                </a>
              </li>
            );
          }}
        </For>
      </ol>
    </nav>
  );
}
