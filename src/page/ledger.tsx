/** The ledger: rule of thumb, computed and measured value side by side, and the reason where they differ. */
import { For, type JSX, Show } from 'solid-js';
import type { LedgerEntry } from '../answers/types.ts';
import { split, type Unit } from '../words/numbers.ts';
import { Symbols } from './symbols.tsx';
import { Typeset } from './typeset.tsx';
import { unitOf } from './units.ts';

const NO_BREAK = '\u00a0';
/** A difference above this share gets its reason. */
const WORTH_A_REASON = 0.1;

function Figure(props: { value: number; unit: Unit }): JSX.Element {
  const said = (): string => {
    const { digits, unit } = split(props.value, props.unit, { zeros: 'keep' });
    return unit === '' ? digits : `${digits}${NO_BREAK}${unit}`;
  };
  return <>{said()}</>;
}

function difference(entry: LedgerEntry): string {
  if (entry.rule.value === 0) return '';
  const share = entry.computed / entry.rule.value - 1;
  return `${share < 0 ? '\u2212' : '+'}${Math.abs(share * 100).toFixed(0)}${NO_BREAK}%`;
}

export interface LedgerProps {
  entries: LedgerEntry[];
  /** These lines are of an earlier input; the right ones follow when the knob rests. */
  waits: boolean;
}

export function Ledger(props: LedgerProps): JSX.Element {
  return (
    <Show when={props.entries.length > 0} fallback={<Waiting waits={props.waits} />}>
      <table class="ledger" classList={{ waits: props.waits }}>
        <caption>
          Ledger
          <Show when={props.waits}>
            <span class="computing"> follows when the knob rests</span>
          </Show>
        </caption>
        <thead>
          <tr>
            <th scope="col">quantity</th>
            <th scope="col">rule of thumb</th>
            <th scope="col" class="n">
              computed
            </th>
            <th scope="col" class="n">
              measured
            </th>
          </tr>
        </thead>
        <tbody>
          <For each={props.entries.map((_, index) => index)}>
            {(index) => {
              const entry = (): LedgerEntry => props.entries[index];
              const reason = (): string | undefined => entry()?.reason;
              return (
                <Show when={entry()}>
                  <tr classList={{ has: reason() !== undefined }} data-quantity={entry().quantity}>
                    <th scope="row">
                      <Symbols text={entry().quantity} />
                    </th>
                    <td class="rule">
                      <Show when={entry().rule.formula?.kind === 'number' ? undefined : entry().rule.formula}>
                        {(formula) => <Typeset formula={formula()} />}
                      </Show>
                      <div>
                        <span class="ex" title={entry().rule.expression}>
                          <Symbols text={entry().rule.withNumbers ?? entry().rule.expression} />
                        </span>
                        <span class="rv">
                          <Figure value={entry().rule.value} unit={unitOf(entry().unit)} />
                        </span>
                      </div>
                    </td>
                    <td class="n">
                      <Figure value={entry().computed} unit={unitOf(entry().unit)} />
                    </td>
                    <td class="n m">
                      <Show when={entry().measured !== undefined} fallback={<span class="nil">–</span>}>
                        <Figure value={entry().measured ?? 0} unit={unitOf(entry().unit)} />
                      </Show>
                    </td>
                  </tr>
                  <Show when={reason()}>
                    <tr class="why">
                      <td />
                      <td colspan="3">
                        <Show when={Math.abs(entry().computed / entry().rule.value - 1) > WORTH_A_REASON}>
                          <span class="wl">{difference(entry())}</span>
                        </Show>
                        <Symbols text={reason() ?? ''} />
                      </td>
                    </tr>
                  </Show>
                </Show>
              );
            }}
          </For>
        </tbody>
      </table>
    </Show>
  );
}

/** In place of a ledger that has not come yet. */
function Waiting(props: { waits: boolean }): JSX.Element {
  return (
    <Show when={props.waits}>
      <p class="note waits">The ledger follows.</p>
    </Show>
  );
}
