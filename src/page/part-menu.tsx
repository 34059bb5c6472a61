/** The small menu of a part that was chosen on the drawing: its value over a ruler, and the verbs that fit it. */
import { createMemo, For, type JSX, Show } from 'solid-js';
import type { Box, Plan } from '../drawing/plan.ts';
import { type Adjustable, adjustables, loadAdjustables, supplyAdjustables } from '../session/adjust.ts';
import { quantityAt } from '../sheet/index.ts';
import type { Part, Sheet } from '../sheet/types.ts';
import { desk } from './desk.ts';
import { Knob } from './knob.tsx';
import { store } from './store.ts';
import { readAs } from './typed.ts';

const WIDTH = 236;
/** Height with one ruler, and of each further one, px. */
const HEIGHT = 112;
const ROW = 44;
const GAP = 12;
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
  const place = createMemo(() => {
    const box = body();
    if (box === undefined) return { left: '0', top: '0' };
    const height = HEIGHT + Math.max(0, rows().length - 1) * ROW;
    const { left, top } = leastInTheWay(props.plan, box, id() ?? '', height);
    return { left: `${left}px`, top: `${top}px` };
  });
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

/** Beside the part, where the menu covers least of the drawing, and never the part or its own label. */
function leastInTheWay(plan: Plan, part: Box, of: string, height: number): { left: number; top: number } {
  const own = plan.labels.filter((label) => label.of === of).map((label) => label.box);
  const whole = [part, ...own].reduce((a, b) => ({
    left: Math.min(a.left, b.left),
    right: Math.max(a.right, b.right),
    top: Math.min(a.top, b.top),
    bottom: Math.max(a.bottom, b.bottom),
  }));
  const middle = { x: (whole.left + whole.right) / 2 - WIDTH / 2, y: (whole.top + whole.bottom) / 2 - height / 2 };
  const places = [
    { left: whole.right + GAP, top: middle.y },
    { left: whole.left - GAP - WIDTH, top: middle.y },
    { left: middle.x, top: whole.bottom + GAP },
    { left: middle.x, top: whole.top - GAP - height },
  ].map((place) => ({ left: Math.max(0, Math.min(plan.width - WIDTH, place.left)), top: Math.max(0, place.top) }));
  const covered = ({ left, top }: { left: number; top: number }): number => {
    const over = (box: Box): number =>
      Math.max(0, Math.min(box.right, left + WIDTH) - Math.max(box.left, left)) *
      Math.max(0, Math.min(box.bottom, top + height) - Math.max(box.top, top));
    const others = [...plan.labels.map((label) => label.box), ...plan.symbols.map((symbol) => symbol.body)].reduce(
      (sum, box) => sum + over(box),
      0,
    );
    return others + 100 * over(whole);
  };
  return places.reduce((best, place) => (covered(place) < covered(best) ? place : best));
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
