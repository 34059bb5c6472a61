/** The drawing of the stage, as an instrument: volts and currents stand where they belong, everything can be touched. */
import { createEffect, createMemo, createSignal, For, type JSX, lazy, onMount, Show, untrack } from 'solid-js';
import type { QuiescentAnswer, WaveformAnswer } from '../answers/types.ts';
import { circuitOf } from '../drawing/elements.ts';
import { type DrawingValues, keyCurrent, marksOf } from '../drawing/index.ts';
import type { Plan } from '../drawing/plan.ts';
import { largestCurrent, type Moment } from '../session/instant.ts';
import type { Sheet } from '../sheet/types.ts';
import { say } from '../words/numbers.ts';
import { desk } from './desk.ts';
import { createDraughtsman } from './draughtsman.ts';
import type { Drawn } from './draw-worker.ts';
import { createPainter } from './painter.ts';
import { Pin } from './pin.tsx';
import { store } from './store.ts';

/** Loaded when a part is first pointed at: the first answer does not wait for it. */
const PartMenu = lazy(async () => ({ default: (await import('./part-menu.tsx')).PartMenu }));

export interface DrawingProps {
  sheet: Sheet;
  width: number;
  rest: QuiescentAnswer | undefined;
  moment: Moment | null;
  waveform: WaveformAnswer | undefined;
  /** Answers are of an earlier input. */
  stale: boolean;
  /** The text has problems: this is the last sound sheet. */
  faulty: boolean;
  /** The quiescent question has no answer, so the drawing need not wait for it. */
  unanswered: boolean;
  sample: number | null;
  onRest(): void;
  onInstant(): void;
}

/** Room kept for the drawing until it is laid out, px. */
const WAITING_HEIGHT = 456;

/** What the layout depends on: connections and kinds, not values, so that turning a knob moves nothing. */
function shapeOf(sheet: Sheet): string {
  const parts = sheet.parts.map((part) => {
    const ends =
      'collector' in part
        ? [part.collector, part.base, part.emitter]
        : 'anode' in part
          ? [part.anode, part.cathode]
          : [part.from, part.to, 'wiper' in part ? part.wiper : ''];
    return [part.name, part.kind, 'polarized' in part && part.polarized, part.lifted, part.shorted, ...ends].join(' ');
  });
  const loads = sheet.loads.map((load) =>
    [
      load.name,
      load.open,
      load.resistor === undefined,
      load.capacitor === undefined,
      load.inductor === undefined,
      load.speaker === undefined,
      load.series,
      load.to,
    ].join(' '),
  );
  const drive = sheet.drive === undefined ? '' : `${sheet.drive.node} ${sheet.drive.waveform} ${sheet.drive.sourceResistance === 0}`;
  return [
    ...sheet.supplies.map((supply) => `${supply.node} ${supply.volts < 0}`),
    ...parts,
    ...loads,
    sheet.load ?? '',
    drive,
    sheet.output ?? '',
  ].join('\n');
}

/** Amperes into the first terminal of every part at rest, for the layout. */
function restCurrents(rest: QuiescentAnswer, sheet: Sheet): Record<string, number> {
  const polarity = new Map(sheet.parts.map((part) => [part.name, part.kind === 'pnp' ? -1 : 1]));
  return Object.fromEntries(
    Object.entries(rest.parts).map(([name, figures]) => [
      name,
      'collectorCurrent' in figures ? (polarity.get(name) ?? 1) * figures.collectorCurrent : figures.current,
    ]),
  );
}

/** Current into the connected load, A; undefined where neither the answer nor its resistance tells. */
function loadCurrent(moment: Moment, sheet: Sheet): number | undefined {
  const computed = sheet.load === undefined ? undefined : moment.currents[sheet.load];
  if (computed !== undefined && 'along' in computed) return computed.along;
  // At rest the answer lists the sheet's own parts only; the load's then follows from its volts.
  const load = sheet.loads.find((given) => given.name === sheet.load);
  const volts = sheet.output === undefined ? undefined : moment.nodes[sheet.output];
  if (moment.time !== null || load === undefined || volts === undefined) return undefined;
  if (load.series && load.capacitor !== undefined) return 0;
  const resistance = load.speaker?.resistance ?? load.resistor;
  return resistance === undefined ? undefined : (volts - (load.to === 'gnd' ? 0 : (moment.nodes[load.to] ?? 0))) / resistance;
}

/** The moment's figures as the drawing takes them. */
function valuesOf(moment: Moment | null, rest: QuiescentAnswer | undefined, sheet: Sheet, plan: Plan, largest: number): DrawingValues {
  if (moment === null) return {};
  const currents: NonNullable<DrawingValues['currents']> = {};
  const devices: NonNullable<DrawingValues['devices']> = {};
  for (const part of sheet.parts) {
    const given = moment.currents[part.name];
    if (given === undefined) continue;
    const sign = part.kind === 'pnp' ? -1 : 1;
    currents[part.name] = 'along' in given ? given.along : { first: sign * given.collector, second: sign * given.emitter };
    const state = moment.states[part.name];
    const figures = rest?.parts[part.name];
    if (state !== undefined && !part.lifted)
      devices[part.name] = { state, beta: figures !== undefined && 'beta' in figures ? figures.beta : null };
  }
  const load = loadCurrent(moment, sheet);
  for (const symbol of plan.symbols) if (symbol.owner === 'load' && load !== undefined) currents[symbol.id] = load;
  return { volts: { gnd: 0, ...moment.nodes }, currents, devices, fullScale: largest };
}

/** The plan with the texts of the sheet as it is now: a value under the hand changes its label and moves nothing. */
function withTexts(plan: Plan, sheet: Sheet): Plan {
  const texts = new Map(
    circuitOf(
      sheet,
      plan.symbols.some((symbol) => symbol.kind === 'generator'),
    ).elements.map((element) => [element.id, element.lines.flat().map((span) => span.text)]),
  );
  const labels = plan.labels.map((label) => {
    const now = texts.get(label.of);
    if (now === undefined) return label;
    let index = 0;
    return {
      ...label,
      lines: label.lines.map((line) => line.map((span) => (span.text.trim() === '' ? span : { ...span, text: now[index++] ?? span.text }))),
    };
  });
  return { ...plan, labels };
}

export function Drawing(props: DrawingProps): JSX.Element {
  let marks!: SVGGElement;
  const shape = createMemo(() => shapeOf(props.sheet));
  /** With volts known, current flows down in the drawing; a change of figures alone moves nothing. */
  const known = createMemo(() => props.rest !== undefined || props.unanswered);
  const pinned = createMemo(() => {
    const usual = [props.sheet.output, props.sheet.drive?.node].filter((node) => node !== undefined);
    return [...new Set(store.pins() ?? usual)].join('\n');
  });
  const depends = createMemo(() => `${props.width}\n${pinned()}\n\n${shape()}`);
  const [drawn, setDrawn] = createSignal<Drawn | null>(null);
  const draughtsman = createDraughtsman(setDrawn);
  createEffect(() => {
    const wanted = depends();
    if (!known()) return;
    untrack(() => {
      const { rest, sheet, width } = props;
      const before = drawn()?.plan;
      draughtsman.draw({
        key: wanted,
        sheet,
        width,
        ...(rest === undefined ? {} : { potentials: rest.nodes, currents: restCurrents(rest, sheet) }),
        ...(before === undefined || before.width !== width ? {} : { previous: before }),
        pinned: pinned()
          .split('\n')
          .filter((node) => node !== ''),
        pin: { width: width < 400 ? 96 : 120, height: 50 },
      });
    });
  });
  const plan = (): Plan | undefined => drawn()?.plan;
  /** The drawing is of an earlier circuit, until the new one is laid out. */
  const behind = (): boolean => drawn() !== null && drawn()?.key !== depends();
  const largest = createMemo(() => largestCurrent(props.waveform, props.rest));
  const choosing = (): 'parts' | 'nodes' | null => {
    const draft = desk.draft();
    return draft === null ? null : draft.verb === 'tack' ? 'nodes' : 'parts';
  };

  onMount(() => {
    const painter = createPainter(marks);
    createEffect(() => {
      const laid = plan();
      if (laid === undefined) return;
      const values = valuesOf(props.moment, props.rest, props.sheet, laid, largest());
      painter.paint(marksOf(withTexts(laid, props.sheet), values, 'rectangle', false), laid);
    });
    createEffect(() => {
      plan();
      const [pointed, selected, offers] = [store.pointed(), desk.selected(), choosing()];
      for (const group of marks.querySelectorAll<SVGGElement>(':scope > g')) {
        const { part, node } = group.dataset;
        group.classList.toggle('lit', pointed !== null && (part === pointed || (node !== undefined && pointed === `node:${node}`)));
        group.classList.toggle('selected', part !== undefined && part === selected);
        group.classList.toggle(
          'offered',
          group.getAttribute('role') === 'button' &&
            ((offers === 'parts' && part !== undefined && !part.startsWith('load')) || (offers === 'nodes' && node !== undefined)),
        );
      }
    });
  });

  const pins = createMemo(() => drawn()?.pins ?? []);
  /** All pinned waveforms to one scale: volts for the height of a box. */
  const voltsHigh = createMemo(() => {
    let most = 1e-9;
    for (const pin of pins()) most = Math.max(most, props.waveform?.measures[pin.node]?.peakToPeak ?? 0);
    return most * 1.12;
  });

  /** What of the drawing an event is about. */
  const touched = (event: Event): SVGGElement | null => (event.target as Element).closest<SVGGElement>('g[role="button"]');
  function choose(group: SVGGElement): void {
    const { part, node } = group.dataset;
    if (part !== undefined) desk.choosePart(part);
    else if (node !== undefined) desk.chooseNode(node);
  }
  function point(event: Event): void {
    const group = (event.target as Element).closest<SVGGElement>('g[data-part], g[data-node]');
    const { part, node } = group?.dataset ?? {};
    store.setPointed(part ?? (node === undefined || node === '' ? null : `node:${node}`));
  }
  /** Arrow keys walk what the drawing offers, in drawing order. */
  function key(event: KeyboardEvent): void {
    const group = touched(event);
    if (group === null) return;
    if (event.key === 'Enter' || event.key === ' ') choose(group);
    else {
      const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (step === undefined) return;
      const all = [
        ...marks.querySelectorAll<SVGGElement>(
          group.dataset.part === undefined ? 'g[role="button"][data-node]' : 'g[role="button"][data-part]',
        ),
      ];
      all[(all.indexOf(group) + step + all.length) % all.length]?.focus();
    }
    event.preventDefault();
  }

  return (
    <figure class="drawing" classList={{ fault: props.faulty, stale: props.stale || behind() }}>
      <Show when={props.sample !== null}>
        <p class="instant">at {say(props.moment?.time, 's')}</p>
      </Show>
      {/* biome-ignore lint/a11y/useSemanticElements: within SVG there is no fieldset. */}
      <svg
        class="stage"
        viewBox={`0 0 ${plan()?.box.right ?? props.width} ${plan()?.height ?? WAITING_HEIGHT}`}
        width={plan()?.box.right ?? props.width}
        height={plan()?.height ?? WAITING_HEIGHT}
        role="group"
        aria-label={`Drawing of the stage ${props.sheet.title}`}
        on:click={(event) => {
          const group = touched(event);
          if (group !== null) choose(group);
        }}
        on:keydown={key}
        on:pointerover={point}
        on:pointerleave={() => store.setPointed(null)}
        on:focusin={point}
        on:focusout={() => store.setPointed(null)}
      >
        <defs>
          <pattern id="stage-cross-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <path class="crosshatch" d="M0 0V5M0 0H5" />
          </pattern>
        </defs>
        <For each={pins()}>{(pin) => <Pin pin={pin} waveform={props.waveform} voltsHigh={voltsHigh()} sample={props.sample} />}</For>
        <g ref={marks} />
      </svg>
      <Show when={desk.selected() === null ? null : plan()}>{(laid) => <PartMenu sheet={props.sheet} plan={laid()} />}</Show>
      <figcaption>
        <span class="modes" role="radiogroup" aria-label="What the drawing shows">
          <label>
            <input type="radio" name="mode" checked={props.sample === null} on:change={() => props.onRest()} />
            at rest
          </label>
          <Show when={props.waveform}>
            <label>
              <input type="radio" name="mode" checked={props.sample !== null} on:change={() => props.onInstant()} />
              {props.sample === null ? 'at an instant' : `at ${say(props.moment?.time, 's')}`}
            </label>
          </Show>
        </span>
        <ArrowKey largest={largest()} />
      </figcaption>
    </figure>
  );
}

/** A round current with the arrow that stands for it. */
function ArrowKey(props: { largest: number }): JSX.Element {
  const round = (): number => {
    const nearest = keyCurrent(props.largest);
    return nearest <= props.largest ? nearest : keyCurrent(props.largest / 2);
  };
  const width = (): number => Math.max(1.5, (12 * round()) / props.largest);
  const arrow = (): string => {
    const [shaft, tip] = [width() / 2, Math.min(16, 6.2 + 0.65 * width())];
    return `M2 ${8 - shaft}H${32 - tip}V${8 - shaft - 2.8}L32 8L${32 - tip} ${8 + shaft + 2.8}V${8 + shaft}H2Z`;
  };
  return (
    <Show when={round() > 0}>
      <span class="akey">
        <svg viewBox="0 0 34 16" width="34" height="16" aria-hidden="true">
          <path d={arrow()} />
        </svg>
        {say(round(), 'A')}
      </span>
    </Show>
  );
}
