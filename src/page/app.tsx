/** The page: the stage on the left, the questions on the right. */
import { createEffect, createMemo, createSignal, type JSX, lazy, onCleanup, onMount, Show } from 'solid-js';
import type { Question } from '../answers/types.ts';
import { type Moment, momentAt, momentAtRest } from '../session/instant.ts';
import type { Frame } from '../session/session.ts';
import { headline } from '../session/verdicts.ts';
import type { Sheet } from '../sheet/types.ts';
import { say } from '../words/numbers.ts';
import { desk } from './desk.ts';
import { Drawing } from './drawing.tsx';
import { DriveControls } from './drive.tsx';
import { Header } from './header.tsx';
import { Loads } from './loads.tsx';
import { mentions } from './mentions.ts';
import { ImpedanceSection, QuiescentSection, type SectionsProps, SwingSection, WaveformSection } from './sections.tsx';
import { Problems, SheetText } from './sheet-text.tsx';
import { ShortAnswers } from './short.tsx';
import { answered, questionsOf, restOf, store } from './store.ts';
import { Strip } from './strip.tsx';
import { Verbs } from './verbs.tsx';

/** What opens other sheets is loaded when it is first shown: the first answer does not wait for it. */
const OpenPanel = lazy(async () => ({ default: (await import('./open-panel.tsx')).OpenPanel }));
const OutlineForm = lazy(async () => ({ default: (await import('./outline-form.tsx')).OutlineForm }));

/** Columns are laid out again in steps of this many px. */
const STEP = 20;

export function App(): JSX.Element {
  const [sheetOpen, setSheetOpen] = createSignal(false);
  const [openShown, setOpenShown] = createSignal(false);
  const [width, setWidth] = createSignal(600);
  const narrow = media('(max-width: 900px)');
  const frame = store.frame;
  const shownSheet = (): Sheet | null => frame()?.sheet ?? store.sound();
  const rest = createMemo(() => restOf(frame()));
  const waveform = createMemo(() => answered(frame(), 'waveform'));
  const moment = createMemo<Moment | null>(() => {
    const sample = store.sample();
    const wave = waveform();
    if (sample !== null && wave !== undefined && wave.time[sample] !== undefined) return momentAt(wave, sample, rest());
    const still = rest();
    return still === undefined ? null : momentAtRest(still);
  });
  const shownSample = (): number | null => (moment()?.time === null ? null : store.sample());
  const samples = (): number => waveform()?.time.length ?? 1;
  const shownShare = (): number | null => {
    const sample = shownSample();
    return sample === null ? null : sample / samples();
  };
  const told = createMemo(() => {
    const now = frame();
    return now === null ? null : headline(now.answers, now.sheet);
  });
  const computing = (): string => {
    const turned = store.live();
    return turned === null ? 'computing' : `computing for ${desk.valueWords(turned.path, turned.value)}`;
  };

  let column!: HTMLDivElement;
  onMount(() => {
    const measure = (): void => {
      const room = narrow()
        ? document.documentElement.clientWidth - 40
        : Math.min(600, column.clientWidth - (document.documentElement.clientWidth > 1279 ? 36 : 24));
      setWidth(Math.max(280, Math.floor(room / STEP) * STEP + (narrow() && room % STEP >= 10 ? 10 : 0)));
    };
    const observer = new ResizeObserver(measure);
    observer.observe(column);
    observer.observe(document.documentElement);
    onCleanup(() => observer.disconnect());
    onCleanup(mentions());
    onCleanup(desk.listen({ toggleSheet: () => setSheetOpen(!sheetOpen()) }));
  });
  createEffect(() => {
    document.documentElement.classList.toggle('projector', store.projected() !== null);
  });
  createEffect(() => {
    document.title = shownSheet() === null ? 'Footroom' : `${shownSheet()?.title || 'Untitled stage'} · Footroom`;
  });

  return (
    <>
      <Header
        title={shownSheet()?.title ?? ''}
        meta={shownSheet() === null ? '' : `${say((shownSheet()?.ambient ?? 0) - 273.15, '°C').replace(/\.0(?=\D)/, '')}`}
        sheetOpen={sheetOpen()}
        onSheet={() => setSheetOpen(!sheetOpen())}
        openShown={openShown()}
        onOpen={() => setOpenShown(!openShown())}
        onSave={() => desk.save()}
        onLink={() => void desk.link()}
        projected={store.projected() !== null}
        onProject={() => store.setProjected(store.projected() === null ? (told()?.question ?? 'quiescent') : null)}
      />
      <main>
        <div class="bench" ref={column}>
          <Show when={store.notice() !== ''}>
            <p class="notice" role="status">
              {store.notice()}
            </p>
          </Show>
          <Show when={openShown() && shownSheet() !== null}>
            <OpenPanel first={false} onDone={() => setOpenShown(false)} />
          </Show>
          <Show when={desk.outline()}>{(outline) => <OutlineForm outline={outline()} />}</Show>
          <Show
            when={shownSheet()}
            fallback={
              <Show when={desk.started()}>
                <NothingOpen />
              </Show>
            }
          >
            {(sheet) => (
              <>
                <Drawing
                  sheet={sheet()}
                  width={width()}
                  rest={rest()}
                  moment={moment()}
                  stale={frame()?.stale.has(store.sample() === null ? 'quiescent' : 'waveform') ?? false}
                  waveform={waveform()}
                  unanswered={frame()?.answers.quiescent !== undefined && rest() === undefined}
                  faulty={store.read()?.sheet === null}
                  sample={shownSample()}
                  onRest={() => store.setSample(null)}
                  onInstant={() => store.setSample(store.sample() ?? Math.round((waveform()?.time.length ?? 0) * 0.75))}
                />
                <Show when={narrow()}>
                  <Headline frame={frame()} text={told()?.text} question={told()?.question} />
                </Show>
                <Show when={waveform() !== undefined && moment() !== null}>
                  <Strip
                    sheet={sheet()}
                    waveform={waveform()!}
                    rest={rest()}
                    smallSignal={frame()?.stale.has('impedance') ? undefined : answered(frame(), 'impedance')}
                    width={width()}
                    before={store.before()?.nodes[sheet().output ?? '']}
                    sample={shownSample()}
                    moment={moment()!}
                    onSample={(sample) => store.setSample(sample)}
                  />
                </Show>
                <DriveControls
                  sheet={sheet()}
                  saved={store.savedSheet() ?? sheet()}
                  onWaveform={(waveformChosen) => desk.setWaveform(waveformChosen)}
                  onTurn={(path, value) => store.turn(path, value)}
                  onRelease={(path, value) => desk.setValue(path, value)}
                  onRestore={() => store.restore()}
                />
                <Loads sheet={sheet()} onChoose={(name) => desk.setLoad(name)} />
                <Verbs
                  sheet={sheet()}
                  draft={desk.draft()}
                  problem={desk.draftProblem()}
                  nodes={desk.nodes(sheet())}
                  undoName={store.history()?.past.at(-1)?.name}
                  steps={store.history()?.past.map((step) => step.name) ?? []}
                  onBackTo={(step) => store.backTo(step)}
                  redoName={store.history()?.future.at(-1)?.name}
                  onDraft={(draft) => desk.setDraft(draft)}
                  onApply={(draft) => desk.apply(draft)}
                  onUndo={() => store.undo()}
                  onRedo={() => store.redo()}
                />
              </>
            )}
          </Show>
          <Show when={!sheetOpen() && store.problems().some((problem) => problem.severity === 'error')}>
            <Problems problems={store.problems()} onGo={() => setSheetOpen(true)} />
          </Show>
        </div>
        <div class="answers" id="answers" tabindex="-1">
          <Show when={sheetOpen() && store.text() !== null}>
            <SheetText
              text={store.text() ?? ''}
              problems={store.problems()}
              words={desk.words(shownSheet())}
              onChange={(text) => store.type(text)}
              onLeave={() => setSheetOpen(false)}
            />
          </Show>
          <h2 class="vh">Answers</h2>
          <Show when={!narrow() && frame() !== null}>
            <Headline frame={frame()} text={told()?.text} question={told()?.question} />
          </Show>
          <ShortAnswers frame={frame()} />
          <Show when={frame()}>
            {(now) => (
              <Sections
                frame={now()}
                computing={computing()}
                onLift={(part) => desk.lift(part)}
                cursor={{
                  share: shownShare(),
                  onShare: (share) => store.setSample(Math.min(samples() - 1, Math.round(share * samples()))),
                }}
              />
            )}
          </Show>
          <footer>Everything is computed in this browser; nothing is sent anywhere.</footer>
        </div>
      </main>
    </>
  );
}

/** The cause of what falls short, larger than anything else on the page. */
function Headline(props: { frame: Frame | null; text: string | undefined; question: Question | undefined }): JSX.Element {
  const stale = (): boolean => props.question !== undefined && (props.frame?.stale.has(props.question) ?? false);
  return (
    <div class="cause" classList={{ stale: stale() }}>
      <p class="headline" role="status">
        {props.text ?? ''}
      </p>
      <p class="try">Drag a ruler, or click a part on the drawing: everything follows.</p>
    </div>
  );
}

function Sections(props: SectionsProps): JSX.Element {
  const asked = createMemo(() => questionsOf(props.frame.sheet).join(' '));
  const has = (question: Question): boolean => asked().split(' ').includes(question);
  return (
    <>
      <QuiescentSection {...props} />
      <Show when={has('swing')}>
        <SwingSection {...props} />
      </Show>
      <Show when={has('impedance')}>
        <ImpedanceSection {...props} />
      </Show>
      <Show when={has('waveform')}>
        <WaveformSection {...props} />
      </Show>
    </>
  );
}

function NothingOpen(): JSX.Element {
  return (
    <div class="nothing">
      <svg viewBox="0 0 600 120" width="600" height="120" role="img" aria-label="Two rails, and nothing between them yet">
        <path class="rails" d="M40 20H560M40 100H560" />
      </svg>
      <Show when={desk.outline() === null}>
        <OpenPanel first={true} onDone={() => undefined} />
      </Show>
    </div>
  );
}

/** A media query as a signal. */
function media(query: string): () => boolean {
  const list = matchMedia(query);
  const [matches, setMatches] = createSignal(list.matches);
  const change = (): boolean => setMatches(list.matches);
  list.addEventListener('change', change);
  onCleanup(() => list.removeEventListener('change', change));
  return matches;
}
