/** One question on the page: the question, the answer in words, figure, cause and evidence, ledger. */
import { createMemo, For, type JSX, Show } from 'solid-js';
import type { Answer, Cause, Question } from '../answers/types.ts';
import { isBrief, isUnanswered, type Result, type Unanswered } from '../session/protocol.ts';
import type { Frame } from '../session/session.ts';
import { verdictOf } from '../session/verdicts.ts';
import { type CauseContext, causeSentence, evidenceSentence } from '../words/causes.ts';
import { Ledger } from './ledger.tsx';
import { Mark } from './mark.tsx';
import { store } from './store.ts';
import { Symbols } from './symbols.tsx';

export const ASKED: Readonly<Record<Question, string>> = {
  quiescent: 'Where does it sit with no signal?',
  swing: 'How far can the output go each way, and what stops it?',
  impedance: 'What do source and load see, and over which band?',
  waveform: 'What comes out with this drive, once settled?',
};

export interface SectionProps<A extends Answer> {
  question: A['question'];
  frame: Frame;
  /** Said beside the question while its answer is of an earlier input: `computing for 330 Ω`. */
  computing: string;
  children(answer: () => A, full: () => A | undefined): JSX.Element;
}

export function Section<A extends Answer>(props: SectionProps<A>): JSX.Element {
  const answer = createMemo(() => props.frame.answers[props.question]);
  const stale = (): boolean => props.frame.stale.has(props.question);
  const verdict = createMemo(() => verdictOf(answer(), props.frame.sheet));
  const sound = (): A | undefined => {
    const given: Result | undefined = answer();
    return given === undefined || isUnanswered(given) ? undefined : (given as A);
  };
  /** The last answer in full: while a knob turns, what the brief one leaves out stands dimmed from it. */
  const full = createMemo<A | undefined>((last) => {
    const given = sound();
    return given === undefined || isBrief(given) ? last : given;
  }, undefined);
  const brief = (): boolean => answer() !== undefined && isBrief(answer() as Result);
  const unsaid = (): string =>
    brief()
      ? (full()
          ?.sentences.slice(sound()?.sentences.length ?? 0)
          .join(' ') ?? '')
      : '';
  const none = (): Unanswered | undefined => {
    const given = answer();
    return given !== undefined && isUnanswered(given) ? given : undefined;
  };
  return (
    <section
      id={props.question}
      data-question={props.question}
      classList={{ stale: stale(), away: store.projected() !== null && store.projected() !== props.question }}
      aria-labelledby={`${props.question}-asked`}
      aria-busy={stale()}
    >
      <header>
        <h2 id={`${props.question}-asked`}>{ASKED[props.question]}</h2>
        <span class="state">
          <Show when={!stale() || answer() === undefined} fallback={<span class="computing">{props.computing}</span>}>
            <Show when={verdict().words !== ''}>
              <span class={`verdict ${verdict().mark}`}>{verdict().words}</span> <Mark kind={verdict().mark} />{' '}
            </Show>
          </Show>
          <span class="key">{props.question}</span>
        </span>
      </header>
      <Show when={none()}>
        {(given) => (
          <>
            <p class="answer">{given().error}</p>
            <For each={given().tried}>{(tried) => <p class="note">{tried}</p>}</For>
          </>
        )}
      </Show>
      <Show when={sound()}>
        {(given) => (
          <>
            <p class="answer">
              <Symbols text={given().sentences.join(' ')} />
              <Show when={unsaid() !== ''}>
                {' '}
                <span class="waits">
                  <Symbols text={unsaid()} />
                </span>
              </Show>
            </p>
            {props.children(given, full)}
            <For each={given().warnings}>
              {(warning) => (
                <p class="caution">
                  <Mark kind="mind" />
                  <span>{warning}</span>
                </p>
              )}
            </For>
            <Ledger entries={(brief() ? full() : given())?.ledger ?? []} waits={brief()} />
            <Show when={given().assumptions.length > 0}>
              <p class="note">{given().assumptions.join(' ')}</p>
            </Show>
          </>
        )}
      </Show>
      <Show when={answer() === undefined}>
        <p class="computing">{stale() ? 'Computing.' : 'Open a sheet to ask this.'}</p>
      </Show>
    </section>
  );
}

export interface ProofProps {
  cause: Cause;
  context: CauseContext;
  /** The same cause from the last answer in full, whose evidence stands in while this one's is not looked for. */
  full?: Cause | undefined;
  /** What would help against it. */
  help?: string | undefined;
  /** Applies the evidence as a step that undo takes back; absent where it is no bench verb. */
  onTry?: (() => void) | undefined;
}

/** Cause and evidence, with the hatch that marks the stretch on the curve and on the time axis. */
export function Proof(props: ProofProps): JSX.Element {
  const waits = (): boolean => props.full !== undefined && props.full !== props.cause;
  const evidence = (): string | null => evidenceSentence(props.full ?? props.cause, props.context);
  const tryable = (): string | null => (props.cause.evidence?.change === 'lifted' ? props.cause.evidence.part : null);
  return (
    <dl class="proof" data-part={props.cause.part ?? ''}>
      <dt>
        Cause <Swatch event={props.cause.event} />
      </dt>
      <dd>
        <Symbols text={causeSentence(props.cause, props.context)} />
      </dd>
      <Show when={evidence() !== null || tryable() !== null}>
        <dt>Evidence</dt>
        <dd classList={{ waits: waits() }}>
          {evidence()}{' '}
          <Show when={tryable() !== null && props.onTry !== undefined}>
            <button type="button" class="txt" on:click={() => props.onTry?.()}>
              lift {tryable()} and look
            </button>
          </Show>
        </dd>
      </Show>
      <Show when={props.help}>
        <dt>Would help</dt>
        <dd classList={{ waits: waits() }}>
          <Symbols text={props.help ?? ''} />
        </dd>
      </Show>
    </dl>
  );
}

/** The pattern of a cause: hatch for off, cross-hatch for saturated, dots for breakdown. */
export function Swatch(props: { event: Cause['event'] }): JSX.Element {
  const lines = (): string => {
    const rising = 'M0 13 13 0M4.5 13 18 -.5M-4.5 13 9 -.5M9 13 22 0M13.5 13 22 4.5M0 4 4 0';
    const falling = 'M22 13 9 0M17.5 13 4 -.5M13 13 0 0M8.5 13 0 4.5M22 8.5 13.5 0M22 4 18 0';
    if (props.event === 'saturates') return rising + falling;
    if (props.event === 'breaks-down' || props.event === 'reverses')
      return 'M3 3h.1M9 3h.1M15 3h.1M6 7h.1M12 7h.1M18 7h.1M3 11h.1M9 11h.1M15 11h.1';
    return rising;
  };
  return (
    <svg class="sw" viewBox="0 0 22 13" width="22" height="13" aria-hidden="true">
      <rect class="swband" width="22" height="13" />
      <path class="swlines" classList={{ dots: props.event === 'breaks-down' || props.event === 'reverses' }} d={lines()} />
    </svg>
  );
}
