/** The small menu of a part that was chosen on the drawing: its value over a ruler, and the verbs that fit it. */
import { createMemo, For, type JSX, Show } from 'solid-js';
import type { Plan } from '../drawing/plan.ts';
import { type Adjustable, adjustables, loadAdjustables, supplyAdjustables } from '../session/adjust.ts';
import { quantityAt } from '../sheet/index.ts';
import type { Part, Sheet } from '../sheet/types.ts';
import { desk } from './desk.ts';
import { Knob } from './knob.tsx';
import { store } from './store.ts';
import { readAs } from './typed.ts';

const WIDTH = 236;
const SUPPLY = 'supply ';

export function PartMenu(props: { sheet: Sheet; plan: Plan }): JSX.Element {
  const id = (): string | null => desk.selected();
  const part = createMemo<Part | undefined>(() => props.sheet.parts.find((given) => given.name === id()));
  const isLoad = (): boolean => id()?.startsWith('load ') ?? false;
  const supply = (): string | undefined => (id()?.startsWith(SUPPLY) ? id()?.slice(SUPPLY.length) : undefined);
  /** What the menu stands beside. */
  const body = createMemo(() => {
    const node = supply();
    if (node !== undefined) return props.plan.labels.find((label) => label.kind === 'supply' && label.of === node)?.box;
    return props.plan.symbols.find((given) => given.id === id())?.body;
  });
  const rows = createMemo<Adjustable[]>(() => {
    const chosen = part();
    if (chosen !== undefined) return adjustables(props.sheet, chosen);
    const node = supply();
    if (node !== undefined) return supplyAdjustables(props.sheet, node);
    return isLoad() ? loadAdjustables(props.sheet) : [];
  });
  const paths = createMemo(() =>
    rows()
      .map((row) => row.path)
      .join('\n'),
  );
  const place = (): { left: string; top: string } => {
    const box = body();
    if (box === undefined) return { left: '0', top: '0' };
    const right = box.right + 14;
    const left = right + WIDTH <= props.plan.width ? right : Math.max(0, box.left - 14 - WIDTH);
    return { left: `${left}px`, top: `${Math.max(0, Math.min(props.plan.height - 150, (box.top + box.bottom) / 2 - 50))}px` };
  };
  const called = (): string => supply() ?? (isLoad() ? (props.sheet.load ?? '') : (id() ?? ''));
  const outOfPlace = (): boolean => part()?.lifted === true || part()?.shorted === true;
  return (
    <Show when={body() !== undefined && rows().length + (part() === undefined ? 0 : 1) > 0}>
      {/* biome-ignore lint/a11y/useSemanticElements: no form stands here, so a fieldset would promise one. */}
      <div
        class="menu"
        role="group"
        aria-label={`${called()}: value and verbs`}
        style={place()}
        on:keydown={(event) => {
          if (event.key !== 'Escape') return;
          const chosen = id();
          desk.setSelected(null);
          document.querySelector<SVGElement>(`g[data-part="${CSS.escape(chosen ?? '')}"]`)?.focus();
        }}
      >
        <p class="menuhead">
          <b>{called()}</b> <span>{supply() !== undefined ? 'supply' : isLoad() ? 'load' : kindWords(part())}</span>
          <button type="button" class="txt" on:click={() => desk.setSelected(null)}>
            close
          </button>
        </p>
        <For
          each={paths()
            .split('\n')
            .filter((path) => path !== '')}
        >
          {(path, index) => {
            const row = (): Adjustable | undefined => rows().find((given) => given.path === path);
            const value = (): number => quantityAt(props.sheet, path)?.value ?? 0;
            const saved = (): number => {
              const sheet = store.savedSheet();
              return (sheet === null ? undefined : quantityAt(sheet, path)?.value) ?? value();
            };
            return (
              <Show when={row()}>
                {(given) => (
                  <Knob
                    autofocus={index() === 0}
                    name={given().name}
                    label={given().label}
                    unit={given().unit}
                    value={value()}
                    saved={saved()}
                    scale={given().scale}
                    read={(text) => readAs(text, given().unit, limitsOf(path))}
                    onTurn={(turned) => store.turn(path, turned)}
                    onRelease={(turned) => desk.setValue(path, turned)}
                    onRestore={() => store.restore()}
                  />
                )}
              </Show>
            );
          }}
        </For>
        <Show when={part()}>
          {(chosen) => (
            <div class="menuverbs">
              <Show
                when={!outOfPlace()}
                fallback={
                  <button type="button" class="txt" on:click={() => desk.putBack(chosen().name)}>
                    put back
                  </button>
                }
              >
                <For each={['lift', 'short', 'insert', 'swap'] as const}>
                  {(verb) => (
                    <button type="button" class="txt" on:click={() => desk.beginVerb(verb, chosen().name)}>
                      {verb}
                    </button>
                  )}
                </For>
              </Show>
            </div>
          )}
        </Show>
      </div>
    </Show>
  );
}

function kindWords(part: Part | undefined): string {
  if (part === undefined) return '';
  if ('device' in part) return `${part.kind === 'diode' ? 'diode' : part.kind.toUpperCase()}, ${part.device}`;
  return part.kind;
}

/** The ranges that the sheet allows, so that a wrong value is refused where it was typed. */
function limitsOf(path: string): { least?: number; above?: number; most?: number } {
  if (path.endsWith('.position')) return { least: 0, most: 1 };
  if (path.endsWith('.volts') || path.endsWith('.voltage') || path.endsWith('.current')) return {};
  return { above: 0 };
}
