/** The drawing of the stage, as an instrument: volts and currents stand where they belong, everything can be touched. */
import { createMemo, For, type JSX, Show, untrack } from 'solid-js';
import type { QuiescentAnswer, WaveformAnswer } from '../answers/types.ts';
import { circuitOf } from '../drawing/elements.ts';
import { layOut } from '../drawing/layout.ts';
import { currentText, nodeVoltsText, supplyVoltsText } from '../drawing/format.ts';
import type { ArrowSlot, DrawnSymbol, Label, Plan, Span } from '../drawing/plan.ts';
import { type Moment, largestCurrent } from '../session/instant.ts';
import { pinsFor } from '../session/pins.ts';
import type { Part, Sheet } from '../sheet/types.ts';
import { say, split } from '../words/numbers.ts';
import { stateWord } from '../words/waveform.ts';
import { arrowPath } from './arrow.ts';
import { desk } from './desk.ts';
import { PartMenu } from './part-menu.tsx';
import { Pin } from './pin.tsx';
import { store } from './store.ts';
import { PartSymbol } from './symbol.tsx';

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
  sample: number | null;
  onRest(): void;
  onInstant(): void;
}

/** What the layout depends on: connections and kinds, not values, so that turning a knob moves nothing. */
function shapeOf(sheet: Sheet): string {
  const parts = sheet.parts.map((part) => {
    const ends = 'collector' in part ? [part.collector, part.base, part.emitter] : 'anode' in part ? [part.anode, part.cathode] : [part.from, part.to, 'wiper' in part ? part.wiper : ''];
    return [part.name, part.kind, 'polarized' in part && part.polarized ? '+' : '', ...ends].join(' ');
  });
  const loads = sheet.loads.map((load) => [load.name, load.open, load.resistor === undefined, load.capacitor === undefined, load.inductor === undefined, load.speaker === undefined, load.series, load.to].join(' '));
  const drive = sheet.drive === undefined ? '' : `${sheet.drive.node} ${sheet.drive.waveform === 'none'} ${sheet.drive.sourceResistance === 0}`;
  return [...sheet.supplies.map((supply) => `${supply.node} ${supply.volts < 0}`), ...parts, ...loads, sheet.load ?? '', drive, sheet.output ?? ''].join('\n');
}

/** Current from a part's first to its second terminal at this moment, A. */
function along(moment: Moment | null, slot: ArrowSlot, sheet: Sheet): number | null {
  const part = sheet.parts.find((given) => given.name === slot.part);
  const key = part?.name ?? (slot.part.startsWith('load ') ? 'load' : 'drive');
  if (key === 'load') return loadCurrent(moment, sheet);
  const currents = moment?.currents[key];
  if (currents === undefined) return null;
  if ('along' in currents) return currents.along;
  const forward = slot.terminal === 'first' ? currents.collector : currents.emitter;
  return part?.kind === 'pnp' ? -forward : forward;
}

function loadCurrent(moment: Moment | null, sheet: Sheet): number | null {
  const computed = sheet.load === undefined ? undefined : moment?.currents[sheet.load];
  if (computed !== undefined) return 'along' in computed ? computed.along : null;
  // At rest the answer lists the sheet's own parts only; a load's resistor then follows from its volts.
  const load = sheet.loads.find((given) => given.name === sheet.load);
  const volts = sheet.output === undefined ? undefined : moment?.nodes[sheet.output];
  if (load === undefined || volts === undefined) return null;
  const across = volts - (load.to === 'gnd' ? 0 : (moment?.nodes[load.to] ?? 0));
  if (moment?.time === null && (load.speaker !== undefined || load.resistor !== undefined)) {
    if (load.series && load.capacitor !== undefined) return 0;
    return across / (load.speaker?.resistance ?? load.resistor ?? 1);
  }
  return null;
}

/** Below this share of the largest current no arrow is drawn. */
const LEAST_ARROW = 0.002;

export function Drawing(props: DrawingProps): JSX.Element {
  const shape = createMemo(() => shapeOf(props.sheet));
  const ready = createMemo(() => props.rest !== undefined);
  let previous: Plan | undefined;
  const plan = createMemo<Plan>(() => {
    shape();
    const { width } = props;
    // With volts known, current flows down in the drawing; a change of figures alone moves nothing.
    ready();
    return untrack(() => {
      const currents: Record<string, number> = {};
      for (const [name, figures] of Object.entries(props.rest?.parts ?? {})) {
        const part = props.sheet.parts.find((given) => given.name === name);
        currents[name] = 'collectorCurrent' in figures ? (part?.kind === 'pnp' ? -1 : 1) * figures.collectorCurrent : figures.current;
      }
      previous = layOut(props.sheet, { width, ...(props.rest === undefined ? {} : { potentials: props.rest.nodes, currents }), ...(previous === undefined ? {} : { previous }) });
      return previous;
    });
  });
  const texts = createMemo(() => new Map(circuitOf(props.sheet).elements.map((element) => [element.id, element.lines.flat().map((span) => span.text)])));
  const largest = createMemo(() => largestCurrent(props.waveform, props.rest));
  const partOf = (id: string): Part | undefined => props.sheet.parts.find((part) => part.name === id);
  const choosing = (): 'parts' | 'nodes' | null => {
    const draft = desk.draft();
    return draft === null ? null : draft.verb === 'tack' ? 'nodes' : 'parts';
  };

  const wanted = createMemo(() => {
    const chosen = store.pins() ?? [props.sheet.output, props.sheet.drive?.node].filter((node) => node !== undefined);
    return [...new Set(chosen)].join('\n');
  });
  const pins = createMemo(() => {
    const nodes = wanted().split('\n').filter((node) => node !== '');
    const size = { width: props.width < 400 ? 96 : 120, height: 50 };
    return pinsFor(plan(), nodes, size, props.width);
  });
  /** All pinned waveforms to one scale: volts for the height of a box. */
  const voltsHigh = createMemo(() => {
    let most = 1e-9;
    for (const pin of pins()) most = Math.max(most, props.waveform?.measures[pin.node]?.peakToPeak ?? 0);
    return most * 1.12;
  });

  function spanText(span: Span, label: Label, index: number): string {
    const { slot } = span;
    if (slot === undefined) {
      if (span.role === 'value' || span.role === 'designator') return partText(label, index) ?? span.text;
      if (span.role === 'small' || label.kind === 'generator') return partText(label, index) ?? span.text;
      return span.text;
    }
    switch (slot.kind) {
      case 'volts': {
        if (slot.node === 'gnd') return '0 V';
        const supply = props.sheet.supplies.find((given) => given.node === slot.node);
        if (supply !== undefined && supply.resistance === 0 && supply.inductance === 0) return supplyVoltsText(supply.volts);
        const volts = props.moment?.nodes[slot.node];
        return volts === undefined ? '' : nodeVoltsText(volts);
      }
      case 'current': {
        const arrow = plan().arrows.find((given) => given.id === slot.arrow);
        const amperes = arrow === undefined ? null : along(props.moment, arrow, props.sheet);
        return amperes === null ? '' : currentText(amperes);
      }
      case 'device': {
        const state = props.moment?.states[slot.part];
        if (state !== undefined && state !== 'active') return stateWord(state);
        const figures = props.rest?.parts[slot.part];
        const beta = figures !== undefined && 'beta' in figures ? figures.beta : null;
        return beta === null ? '' : `h_FE ${Math.round(beta)}`;
      }
      case 'drive': {
        const amplitude = props.sheet.drive?.amplitude;
        if (amplitude === undefined) return '';
        return `${say(amplitude.volts, 'V')} ${{ peakToPeak: 'p-p', peak: 'peak', rms: 'rms' }[amplitude.form]}`;
      }
    }
  }
  /** The text of a label's piece for the sheet as it is now, gaps not counted. */
  function partText(label: Label, index: number): string | undefined {
    const spans = label.lines.flat();
    const before = spans.slice(0, index).filter((span) => span.text.trim() !== '').length;
    return spans[index]?.text.trim() === '' ? ' ' : texts().get(label.of)?.[before];
  }

  return (
    <figure class="drawing" classList={{ fault: props.faulty, stale: props.stale, choosing: choosing() !== null }}>
      <Show when={props.sample !== null}>
        <p class="instant">at {say(props.moment?.time, 's')}</p>
      </Show>
      <svg class="stage" viewBox={`0 0 ${plan().width} ${plan().height}`} width={plan().width} height={plan().height} role="group" aria-label={`Drawing of the stage ${props.sheet.title}`}>
        <For each={pins()}>
          {(pin) => <Pin pin={pin} waveform={props.waveform} voltsHigh={voltsHigh()} sample={props.sample} />}
        </For>
        <For each={plan().rails}>{(rail) => <path class="rail" d={`M${rail.from} ${rail.y}H${rail.to}`} />}</For>
        <For each={plan().wires}>
          {(wire) => <path class="w" classList={{ lit: store.pointed() === `node:${wire.node}` }} d={`M${wire.from.x} ${wire.from.y}L${wire.to.x} ${wire.to.y}`} />}
        </For>
        <For each={plan().frames}>
          {(frame) => <rect class="frame" x={frame.box.left} y={frame.box.top} width={frame.box.right - frame.box.left} height={frame.box.bottom - frame.box.top} rx="3" />}
        </For>
        <For each={plan().earths}>{(earth) => <path class="s" d={`M${earth.at.x - 10} ${earth.at.y}h20M${earth.at.x - 6} ${earth.at.y + 4}h12M${earth.at.x - 2} ${earth.at.y + 8}h4`} />}</For>
        <For each={plan().symbols}>
          {(symbol) => (
            <DrawnPart
              symbol={symbol}
              part={partOf(symbol.id)}
              state={props.moment?.states[symbol.id]}
              choosing={choosing() === 'parts'}
              label={plan().labels.find((label) => label.of === symbol.id && (label.kind === 'part' || label.kind === 'device' || label.kind === 'load'))}
            />
          )}
        </For>
        <For each={plan().terminals}>{(terminal) => <circle class="term" cx={terminal.at.x} cy={terminal.at.y} r="3.5" />}</For>
        <For each={plan().dots}>{(dot) => <circle class="dot" cx={dot.at.x} cy={dot.at.y} r="3" />}</For>
        <For each={plan().arrows}>
          {(arrow) => {
            const amperes = createMemo(() => along(props.moment, arrow, props.sheet) ?? 0);
            return (
              <Show when={largest() > 0 && Math.abs(amperes()) > LEAST_ARROW * largest()}>
                <path class="arw" data-arrow={arrow.id} d={arrowPath(arrow, amperes() / largest())} />
              </Show>
            );
          }}
        </For>
        <For each={plan().labels}>
          {(label) => (
            <Show when={!label.onPointing || store.pointed() === `node:${label.of}`}>
              <DrawnLabel label={label} text={(span, index) => spanText(span, label, index)} choosing={choosing() === 'nodes'} strike={partOf(label.of)?.lifted === true} />
            </Show>
          )}
        </For>
      </svg>
      <PartMenu sheet={props.sheet} plan={plan()} />
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
    if (props.largest <= 0) return 0;
    const power = 10 ** Math.floor(Math.log10(props.largest));
    return [5, 2, 1].map((factor) => factor * power).find((value) => value <= props.largest) ?? power;
  };
  return (
    <Show when={round() > 0}>
      <span class="akey">
        <svg viewBox="0 0 44 14" width="44" height="14" aria-hidden="true">
          <path d={arrowPath({ at: { x: 22, y: 7 }, direction: 'right' }, round() / props.largest)} />
        </svg>
        {split(round(), 'A').digits} {split(round(), 'A').unit}
      </span>
    </Show>
  );
}

function DrawnPart(props: { symbol: DrawnSymbol; part: Part | undefined; state: Moment['states'][string] | undefined; choosing: boolean; label: Label | undefined }): JSX.Element {
  const id = (): string => props.symbol.id;
  const can = (): boolean => props.part !== undefined || props.symbol.owner === 'load';
  const selected = (): boolean => desk.selected() === id();
  const hit = () => {
    const { body } = props.symbol;
    const room = 6;
    return { x: body.left - room, y: body.top - room, width: body.right - body.left + 2 * room, height: body.bottom - body.top + 2 * room };
  };
  const choose = (): void => {
    if (can()) desk.choosePart(id());
  };
  return (
    <g
      class="part"
      classList={{ offered: props.choosing && props.part !== undefined, selected: selected(), lifted: props.part?.lifted === true, lit: store.pointed() === id() }}
      data-part={id()}
      role={can() ? 'button' : 'img'}
      tabindex={can() ? 0 : undefined}
      aria-label={`${props.symbol.description}${props.part?.lifted ? ', lifted' : ''}${props.part?.shorted ? ', shorted' : ''}${props.state !== undefined && props.state !== 'active' ? `, ${stateWord(props.state)}` : ''}`}
      on:click={choose}
      on:keydown={(event) => {
        if (event.key === 'Enter' || event.key === ' ') {
          event.preventDefault();
          choose();
        } else walk(event, '.part[tabindex]');
      }}
      on:pointerenter={() => store.setPointed(id())}
      on:pointerleave={() => store.setPointed(null)}
      on:focus={() => store.setPointed(id())}
      on:blur={() => store.setPointed(null)}
    >
      <rect class="hit" {...hit()} />
      <PartSymbol symbol={props.symbol} state={props.state} />
      <Show when={props.part?.shorted}>
        <path class="short" d={shortPath(props.symbol)} />
      </Show>
      <Show when={props.part?.lifted}>
        <path class="cut" d={cutPath(props.symbol)} />
      </Show>
    </g>
  );
}

/** Arrow keys walk what the drawing offers, in drawing order. */
function walk(event: KeyboardEvent, selector: string): void {
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (step === undefined) return;
  event.preventDefault();
  const all = [...document.querySelectorAll<SVGElement>(selector)];
  const at = all.indexOf(event.currentTarget as SVGElement);
  all[(at + step + all.length) % all.length]?.focus();
}

/** A wire round the part, from its one end to the other. */
function shortPath(symbol: DrawnSymbol): string {
  const [first, second] = symbol.pins;
  if (first === undefined || second === undefined) return '';
  if (symbol.upright) {
    const side = symbol.facing === 'left' ? symbol.body.right + 10 : symbol.body.left - 10;
    return `M${first.at.x} ${first.at.y}H${side}V${second.at.y}H${second.at.x}`;
  }
  return `M${first.at.x} ${first.at.y}V${symbol.body.top - 10}H${second.at.x}V${second.at.y}`;
}

/** Gaps of 5 px at the ends of a lifted part, in the colour of the paper over the wire. */
function cutPath(symbol: DrawnSymbol): string {
  return symbol.pins
    .map(({ at }) => {
      const upright = Math.abs(at.x - symbol.at.x) < Math.abs(at.y - symbol.at.y);
      const out = upright ? Math.sign(at.y - symbol.at.y) : Math.sign(at.x - symbol.at.x);
      return upright ? `M${at.x} ${at.y + 2 * out}v${5 * out}` : `M${at.x + 2 * out} ${at.y}h${5 * out}`;
    })
    .join('');
}

const ROLE: Readonly<Record<Span['role'], string>> = { designator: 'des', value: 'val', node: 'nod', volts: 'volt', current: 'cur', small: 'small' };
const LINE = 16;

function DrawnLabel(props: { label: Label; text(span: Span, index: number): string; choosing: boolean; strike: boolean }): JSX.Element {
  const node = (): boolean => props.label.kind === 'node' || props.label.kind === 'supply';
  const starts = createMemo(() => {
    let count = 0;
    return props.label.lines.map((line) => (count += line.length) - line.length);
  });
  return (
    <text
      x={props.label.at.x}
      y={props.label.at.y}
      text-anchor={props.label.anchor}
      class={`lab ${props.label.kind}`}
      classList={{ halo: props.label.halo, struck: props.strike, offered: props.choosing && node(), lit: store.pointed() === props.label.of }}
      data-label={props.label.of}
      role={node() ? 'button' : undefined}
      tabindex={node() ? 0 : undefined}
      aria-label={node() ? `Node ${props.label.of}, ${props.label.lines.flat().map((span, index) => (span.role === 'volts' ? props.text(span, index) : '')).join('')}` : undefined}
      on:click={() => {
        if (node()) desk.chooseNode(props.label.of);
        else desk.choosePart(props.label.of);
      }}
      on:keydown={(event) => {
        if (!node()) return;
        if (event.key === 'Enter' || event.key === ' ') {
          event.preventDefault();
          desk.chooseNode(props.label.of);
        } else walk(event, 'text[role="button"]');
      }}
      on:pointerenter={() => store.setPointed(node() ? `node:${props.label.of}` : props.label.of)}
      on:pointerleave={() => store.setPointed(null)}
      on:focus={() => store.setPointed(node() ? `node:${props.label.of}` : props.label.of)}
      on:blur={() => store.setPointed(null)}
    >
      <For each={props.label.lines}>
        {(line, row) => (
          <For each={line}>
            {(span, index) => {
              const first = (): boolean => index() === 0 && row() > 0;
              return (
                <tspan class={ROLE[span.role]} x={first() ? props.label.at.x : undefined} dy={first() ? LINE : undefined}>
                  {props.text(span, starts()[row()] + index())}
                </tspan>
              );
            }}
          </For>
        )}
      </For>
    </text>
  );
}
