/** One symbol of the drawing (IEC 60617), at its place, in the state its device is in. */
import { createMemo, type JSX, Match, Show, Switch } from 'solid-js';
import type { Region } from '../answers/types.ts';
import type { DrawnSymbol } from '../drawing/plan.ts';

export interface SymbolProps {
  symbol: DrawnSymbol;
  /** Of transistors and diodes. */
  state: Region | undefined;
}

const ENVELOPE = 21;

export function PartSymbol(props: SymbolProps): JSX.Element {
  const turn = (): string => {
    const { at, upright, firstLeads } = props.symbol;
    return `translate(${at.x} ${at.y})${upright ? '' : ' rotate(-90)'}${firstLeads ? '' : ' rotate(180)'}`;
  };
  return (
    <Switch fallback={<TwoTerminal symbol={props.symbol} state={props.state} turn={turn()} />}>
      <Match when={props.symbol.kind === 'npn' || props.symbol.kind === 'pnp'}>
        <Transistor symbol={props.symbol} state={props.state} />
      </Match>
    </Switch>
  );
}

/** The base points to one side, the collector up where it leads; everything else is mirrored from that. */
function Transistor(props: SymbolProps): JSX.Element {
  const flip = (): string => {
    const { at, facing, firstLeads } = props.symbol;
    return `translate(${at.x} ${at.y}) scale(${facing === 'left' ? 1 : -1} ${firstLeads ? 1 : -1})`;
  };
  // Emitter arrow on the lower lead from (-17, 6) to (0, 17): outwards for NPN, towards the bar for PNP.
  const arrow = createMemo(() => (props.symbol.kind === 'npn' ? 'M-3.1 15L-12.2 13.4L-8.2 7.4Z' : 'M-13.4 8.3L-4.3 9.9L-8.3 15.9Z'));
  return (
    <g class="dev" classList={{ [props.state ?? 'active']: true }} transform={flip()}>
      <circle class="env" cx="-10" cy="0" r={ENVELOPE} />
      <Show when={props.state === 'breakdown' || props.state === 'reversed'}>
        <circle class="env2" cx="-10" cy="0" r="17.5" />
      </Show>
      <Show when={props.state === 'saturated'}>
        <path class="cross" d="M-25 -13L3 15M-29 -5L-7 17M-18 -18L9 9M-9 -20.5L10.5 -1M-25 13L3 -15M-29 5L-7 -17M-18 18L9 -9M-9 20.5L10.5 1" />
      </Show>
      <rect class="bar" x="-18.6" y="-13" width="3.2" height="26" />
      <path class="lead" d="M-17 -6L0 -17M-17 6L0 17" />
      <path class="earrow" d={arrow()} />
    </g>
  );
}

/** Drawn upright with the first terminal at the top; the group turns it. */
function TwoTerminal(props: SymbolProps & { turn: string }): JSX.Element {
  const kind = (): DrawnSymbol['kind'] => props.symbol.kind;
  const off = (): boolean => props.state === 'off';
  return (
    <g class="sym" classList={{ off: off() }}>
      <Switch>
        <Match when={kind() === 'resistor'}>
          <rect class="s" transform={props.turn} x="-7" y="-21" width="14" height="42" />
        </Match>
        <Match when={kind() === 'trimmer'}>
          <rect class="s" transform={props.turn} x="-7" y="-21" width="14" height="42" />
          <path class="s" transform={`translate(${props.symbol.at.x} ${props.symbol.at.y}) scale(${props.symbol.facing === 'left' ? -1 : 1} 1)`} d="M16 0H8M12 -3.6L7.5 0L12 3.6" />
        </Match>
        <Match when={kind() === 'capacitor'}>
          <path class="plate" transform={props.turn} d="M-13 -3.5H13M-13 3.5H13" />
          <Show when={props.symbol.polarized}>
            <path class="plus" transform={plusPlace(props.symbol)} d="M-3.5 0H3.5M0 -3.5V3.5" />
          </Show>
        </Match>
        <Match when={kind() === 'inductor'}>
          <path class="s open" transform={props.turn} d="M0 -21a5.25 5.25 0 0 1 0 10.5a5.25 5.25 0 0 1 0 10.5a5.25 5.25 0 0 1 0 10.5a5.25 5.25 0 0 1 0 10.5" />
        </Match>
        <Match when={kind() === 'diode' || kind() === 'led'}>
          <g transform={props.turn}>
            <path class="s junction" d="M-8.5 -7H8.5L0 7Z" />
            <path class="s open" d="M-8.5 7H8.5M0 -12V12" />
            <Show when={kind() === 'led'}>
              <path class="s open" d="M11 -5L17 -10M17 -10l-3.6 .6M17 -10l-1 3.4M11 3L17 -2M17 -2l-3.6 .6M17 -2l-1 3.4" />
            </Show>
          </g>
        </Match>
        <Match when={kind() === 'voltage'}>
          <circle class="s" transform={props.turn} r="16" />
          <path class="s open" transform={props.turn} d="M0 -16V16" />
          <path class="plus" transform={plusPlace(props.symbol)} d="M-3.5 0H3.5M0 -3.5V3.5" />
        </Match>
        <Match when={kind() === 'current'}>
          <g transform={props.turn}>
            <circle class="s" r="16" />
            <path class="s open" d="M-16 0H16" />
            <path class="s open" d="M-21 -8V8M-24 4L-21 9L-18 4" />
          </g>
        </Match>
        <Match when={kind() === 'speaker'}>
          <g transform={`translate(${props.symbol.at.x} ${props.symbol.at.y})`}>
            <rect class="s" x="-6" y="-12" width="12" height="24" />
            <path class="s" d="M6 -12L17 -21V21L6 12" />
          </g>
        </Match>
        <Match when={kind() === 'generator'}>
          <circle class="s" cx={props.symbol.at.x} cy={props.symbol.at.y} r="16" />
          <path class="s open" d={`M${props.symbol.at.x - 9} ${props.symbol.at.y}c3 -9 7 -9 9 0s6 9 9 0`} />
        </Match>
      </Switch>
    </g>
  );
}

/** The plus sign stands outside the first plate, clear of the wire. */
function plusPlace(symbol: DrawnSymbol): string {
  const side = symbol.firstLeads ? -1 : 1;
  const out = symbol.kind === 'voltage' ? 22 : 8.2;
  return symbol.upright ? `translate(${symbol.at.x + 10} ${symbol.at.y + side * out})` : `translate(${symbol.at.x + side * out} ${symbol.at.y - 10})`;
}
