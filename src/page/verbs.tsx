/** The bench verbs: choose one, then what it applies to, on the drawing or by name. Each is one line and one undo. */
import { createEffect, createSignal, For, type JSX, Match, on, Show, Switch } from 'solid-js';
import type { Sheet } from '../sheet/types.ts';

export type Verb = 'tack' | 'lift' | 'short' | 'insert' | 'swap';
export const VERBS: readonly Verb[] = ['tack', 'lift', 'short', 'insert', 'swap'];

/** Said on first focus and in the row of the verb. */
export const EXPLAINED: Readonly<Record<Verb, string>> = {
  tack: 'Tack: solder a part across two nodes, as a trial.',
  lift: 'Lift: take one part out of the circuit and leave its place empty.',
  short: 'Short: join both ends of a part (of a transistor, collector and emitter) with a wire.',
  insert: 'Insert: cut one end of a part free and put another part in between.',
  swap: 'Swap: put another part where this one is.',
};

/** What a verb's row holds while it is filled in: parts and nodes may come from the drawing or from the lists. */
export interface VerbDraft {
  verb: Verb;
  part: string;
  first: string;
  second: string;
  /** Base of a transistor that is tacked on. */
  third: string;
  kind: NewKind;
  value: string;
}
export const NEW_KINDS = ['resistor', 'capacitor', 'inductor', 'diode', 'npn', 'pnp'] as const;
export type NewKind = (typeof NEW_KINDS)[number];

const LETTER: Readonly<Record<NewKind, string>> = { resistor: 'R', capacitor: 'C', inductor: 'L', diode: 'D', npn: 'Q', pnp: 'Q' };
const USUAL: Readonly<Record<NewKind, string>> = {
  resistor: '1k',
  capacitor: '1u',
  inductor: '1m',
  diode: 'signal',
  npn: 'small-signal',
  pnp: 'small-signal',
};

/** The next free designator for a kind: R5 after R4. */
export function freeName(sheet: Sheet, kind: NewKind): string {
  const letter = LETTER[kind];
  const taken = new Set(sheet.parts.map((part) => part.name));
  for (let number = 1; ; number += 1) if (!taken.has(`${letter}${number}`)) return `${letter}${number}`;
}

/** The terminals of a part by name. */
export function endsOf(sheet: Sheet, name: string): string[] {
  const part = sheet.parts.find((given) => given.name === name);
  if (part === undefined) return [];
  if ('collector' in part) return ['collector', 'base', 'emitter'];
  if ('anode' in part) return ['anode', 'cathode'];
  return 'wiper' in part ? ['from', 'to', 'wiper'] : ['from', 'to'];
}

export const usualValue = (kind: NewKind): string => USUAL[kind];

function Icon(props: { verb: Verb }): JSX.Element {
  return (
    <svg viewBox="0 0 34 19" width="34" height="19" aria-hidden="true">
      <Switch>
        <Match when={props.verb === 'tack'}>
          <circle cx="5" cy="12" r="1.8" />
          <circle cx="29" cy="12" r="1.8" />
          <path class="d" d="M5 10C6 3 9 4 11 4M29 10C28 3 25 4 23 4" />
          <rect x="11" y="1.5" width="12" height="5" />
        </Match>
        <Match when={props.verb === 'lift'}>
          <path d="M1 14h6M27 14h6" />
          <path class="d" d="M11 14v-5M23 14v-5" />
          <rect x="11" y="3" width="12" height="5" />
        </Match>
        <Match when={props.verb === 'short'}>
          <path d="M1 12h9M24 12h9" />
          <rect x="10" y="9.5" width="14" height="5" />
          <path d="M5 12V3.5H29V12" />
          <circle cx="5" cy="12" r="1.4" />
          <circle cx="29" cy="12" r="1.4" />
        </Match>
        <Match when={props.verb === 'insert'}>
          <path d="M1 12h8M25 12h8" />
          <path class="d" d="M9 12h2M23 12h2" />
          <rect x="11" y="9.5" width="12" height="5" />
          <path d="M17 1v5M14.5 3.5 17 6l2.5-2.5" />
        </Match>
        <Match when={props.verb === 'swap'}>
          <rect x="2" y="7" width="11" height="5" />
          <rect class="d" x="21" y="7" width="11" height="5" />
          <path d="M9 3.5h15M21.5 1.5l2.5 2-2.5 2M25 15.5H10M12.5 13.5l-2.5 2 2.5 2" />
        </Match>
      </Switch>
    </svg>
  );
}

export interface VerbsProps {
  sheet: Sheet;
  draft: VerbDraft | null;
  /** What was wrong with the last try, in words. */
  problem: string;
  nodes: string[];
  undoName: string | undefined;
  redoName: string | undefined;
  /** Names of the steps taken, the first one first. */
  steps: string[];
  onBackTo(step: number): void;
  onDraft(draft: VerbDraft | null): void;
  onApply(draft: VerbDraft): void;
  onUndo(): void;
  onRedo(): void;
}

export function emptyDraft(verb: Verb): VerbDraft {
  return { verb, part: '', first: '', second: '', third: '', kind: 'resistor', value: usualValue('resistor') };
}

export function Verbs(props: VerbsProps): JSX.Element {
  const [focused, setFocused] = createSignal<Verb | null>(null);
  const [historyShown, setHistoryShown] = createSignal(false);
  const explained = (): string => {
    const verb = props.draft?.verb ?? focused();
    return verb === null ? '' : EXPLAINED[verb];
  };
  return (
    <section class="verbrow" aria-label="Bench verbs">
      <h2 class="cap">Bench</h2>
      <div class="verbs" role="toolbar" aria-label="Change the circuit">
        <For each={VERBS}>
          {(verb) => (
            <button
              type="button"
              data-verb={verb}
              aria-pressed={props.draft?.verb === verb}
              title={EXPLAINED[verb]}
              on:focus={() => setFocused(verb)}
              on:blur={() => setFocused(null)}
              on:click={() => props.onDraft(props.draft?.verb === verb ? null : emptyDraft(verb))}
            >
              <Icon verb={verb} />
              {verb}
            </button>
          )}
        </For>
        <span class="undo">
          <button type="button" class="txt" disabled={props.undoName === undefined} on:click={() => props.onUndo()}>
            {props.undoName === undefined ? 'undo' : `undo ${props.undoName}`}
          </button>
          <Show when={props.steps.length > 1}>
            <button type="button" class="txt" aria-expanded={historyShown()} on:click={() => setHistoryShown(!historyShown())}>
              history
            </button>
          </Show>
          <Show when={props.redoName !== undefined}>
            <button type="button" class="txt" on:click={() => props.onRedo()}>
              redo {props.redoName}
            </button>
          </Show>
        </span>
      </div>
      <Show when={historyShown() && props.steps.length > 0}>
        <ol class="history" aria-label="Steps taken">
          <For each={props.steps}>
            {(name, index) => (
              <li>
                {name}{' '}
                <button type="button" class="txt" aria-label={`Go back to before ${name}`} on:click={() => props.onBackTo(index())}>
                  back to before this
                </button>
              </li>
            )}
          </For>
        </ol>
      </Show>
      <Show when={explained() !== ''}>
        <p class="hint" role="status">
          {explained()}
        </p>
      </Show>
      <Show when={props.draft}>{(draft) => <DraftRow {...props} draft={draft()} />}</Show>
    </section>
  );
}

function DraftRow(props: VerbsProps & { draft: VerbDraft }): JSX.Element {
  let first: HTMLSelectElement | undefined;
  const change = (part: Partial<VerbDraft>): void => props.onDraft({ ...props.draft, ...part });
  const needsNew = (): boolean => props.draft.verb === 'tack' || props.draft.verb === 'insert' || props.draft.verb === 'swap';
  const ends = (): string[] => endsOf(props.sheet, props.draft.part);
  const transistor = (): boolean => props.draft.kind === 'npn' || props.draft.kind === 'pnp';
  const places = (): readonly ('first' | 'second' | 'third')[] => (transistor() ? ['first', 'third', 'second'] : ['first', 'second']);
  const placeName = (place: 'first' | 'second' | 'third'): string => {
    if (transistor()) return { first: 'collector', second: 'emitter', third: 'base' }[place];
    if (props.draft.kind === 'diode') return place === 'first' ? 'anode' : 'cathode';
    return place === 'first' ? 'between' : 'and';
  };
  const kinds = (): readonly NewKind[] =>
    props.draft.verb === 'insert' ? NEW_KINDS.filter((kind) => kind !== 'npn' && kind !== 'pnp') : NEW_KINDS;
  const ready = (): boolean => {
    if (props.draft.verb !== 'tack') return props.draft.part !== '' && (props.draft.verb !== 'insert' || props.draft.first !== '');
    return places().every((place) => props.draft[place] !== '');
  };
  createEffect(
    on(
      () => props.draft.verb,
      () => queueMicrotask(() => first?.focus()),
    ),
  );
  return (
    <form
      class="ask"
      on:submit={(event) => {
        event.preventDefault();
        if (ready()) props.onApply(props.draft);
      }}
      on:keydown={(event) => {
        if (event.key === 'Escape') props.onDraft(null);
      }}
    >
      <Show when={props.draft.verb !== 'tack'}>
        <label>
          {props.draft.verb === 'insert' ? 'at ' : ''}
          <select
            ref={(element) => (first = element)}
            aria-label={`Part to ${props.draft.verb}`}
            on:change={(event) =>
              change({ part: event.currentTarget.value, first: endsOf(props.sheet, event.currentTarget.value)[0] ?? '' })
            }
          >
            <option value="" selected={props.draft.part === ''}>
              which part
            </option>
            <For each={props.sheet.parts.map((part) => part.name)}>
              {(name) => <option selected={props.draft.part === name}>{name}</option>}
            </For>
          </select>
        </label>
      </Show>
      <Show when={props.draft.verb === 'insert' && ends().length > 0}>
        <label>
          its{' '}
          <select aria-label="End to cut free" on:change={(event) => change({ first: event.currentTarget.value })}>
            <For each={ends()}>{(end) => <option selected={props.draft.first === end}>{end}</option>}</For>
          </select>
        </label>
      </Show>
      <Show when={needsNew()}>
        <label>
          {props.draft.verb === 'swap' ? 'for ' : ''}
          <select
            aria-label="Kind of the new part"
            on:change={(event) => {
              const kind = event.currentTarget.value as NewKind;
              change({ kind, value: usualValue(kind) });
            }}
          >
            <For each={kinds()}>{(kind) => <option selected={props.draft.kind === kind}>{kind}</option>}</For>
          </select>
        </label>
        <input
          type="text"
          aria-label="Value of the new part"
          value={props.draft.value}
          on:input={(event) => change({ value: event.currentTarget.value })}
        />
      </Show>
      <Show when={props.draft.verb === 'tack'}>
        <For each={places()}>
          {(end, index) => (
            <label>
              {placeName(end)}{' '}
              <select
                ref={(element) => {
                  if (index() === 0) first = element;
                }}
                aria-label={
                  transistor() || props.draft.kind === 'diode'
                    ? `Node of the ${placeName(end)}`
                    : index() === 0
                      ? 'First node'
                      : 'Second node'
                }
                on:change={(event) => change({ [end]: event.currentTarget.value })}
              >
                <option value="" selected={props.draft[end] === ''}>
                  which node
                </option>
                <For each={props.nodes}>{(node) => <option selected={props.draft[end] === node}>{node}</option>}</For>
              </select>
            </label>
          )}
        </For>
      </Show>
      <button type="submit" class="txt" disabled={!ready()}>
        {props.draft.verb} {props.draft.verb === 'tack' ? '' : props.draft.part}
      </button>
      <button type="button" class="txt" on:click={() => props.onDraft(null)}>
        leave it
      </button>
      <Show when={props.problem !== ''}>
        <p class="bad" role="alert">
          {props.problem}
        </p>
      </Show>
    </form>
  );
}
