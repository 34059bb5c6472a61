/** Loads as contacts of a switch: closing one opens the others. */
import { For, type JSX, Show } from 'solid-js';
import type { Load, Sheet } from '../sheet/types.ts';
import { say } from '../words/numbers.ts';

/** What a load is, in values: `32 Ω`, `10 kΩ ‖ 1 nF`, `open`. */
export function loadValues(load: Load): string {
  if (load.open) return 'open';
  const values: string[] = [];
  if (load.resistor !== undefined) values.push(say(load.resistor, 'Ω'));
  if (load.capacitor !== undefined) values.push(say(load.capacitor, 'F'));
  if (load.inductor !== undefined) values.push(say(load.inductor, 'H'));
  if (load.speaker !== undefined) values.push(`${say(load.speaker.resistance, 'Ω')} speaker`);
  if (load.cable !== undefined) values.push(`${say(load.cable.length * load.cable.capacitancePerMetre, 'F')} cable`);
  return values.join(load.series ? ' + ' : ' ‖ ');
}

export function Loads(props: { sheet: Sheet; onChoose(name: string): void }): JSX.Element {
  return (
    <Show when={props.sheet.loads.length > 0}>
      <section class="loadrow" aria-label="Load">
        <h2 class="cap">Load</h2>
        <div class="loads" role="radiogroup" aria-label="Load">
          <For each={props.sheet.loads.map((load) => load.name)}>
            {(name) => {
              const closed = (): boolean => props.sheet.load === name;
              const load = (): Load | undefined => props.sheet.loads.find((listed) => listed.name === name);
              return (
                <label>
                  <input type="radio" name="load" checked={closed()} on:change={() => props.onChoose(name)} />
                  <svg class="contact" viewBox="0 0 30 16" width="30" height="16" aria-hidden="true">
                    <path d="M1 12h6M23 12h6" />
                    <circle cx="8.5" cy="12" r="1.8" />
                    <circle cx="21.5" cy="12" r="1.8" />
                    <path d={closed() ? 'M10 11.5H20' : 'M10 11 20 4'} />
                  </svg>
                  <b>{name}</b>{' '}
                  <span>
                    {(() => {
                      const it = load();
                      return it === undefined || (it.open && name === 'open') ? '' : loadValues(it);
                    })()}
                  </span>
                </label>
              );
            }}
          </For>
        </div>
      </section>
    </Show>
  );
}
