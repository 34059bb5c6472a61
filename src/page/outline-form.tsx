/** The values of an outline, one field after another in drawing order: Tab goes on, the answers follow. */
import { createSignal, For, type JSX } from 'solid-js';
import { desk } from './desk.ts';
import { ANSWERS_AFTER, filled, type Outline } from './outlines.ts';

export function OutlineForm(props: { outline: Outline }): JSX.Element {
  const [values, setValues] = createSignal<Record<string, string>>({});
  const given = (): number => Object.values(values()).filter((value) => value.trim() !== '').length;
  const open = (): string[] =>
    props.outline.fields.filter((field) => (values()[field.name] ?? '').trim() === '').map((field) => field.name);
  function give(name: string, value: string): void {
    if ((values()[name] ?? '') === value) return;
    setValues({ ...values(), [name]: value });
    if (given() >= ANSWERS_AFTER) desk.fillOutline(filled(props.outline, values()));
  }
  return (
    <form
      class="outline"
      aria-label={`Values of the ${props.outline.name}`}
      on:submit={(event) => {
        event.preventDefault();
        desk.endOutline(filled(props.outline, values()));
      }}
      on:keydown={(event) => {
        if (event.key === 'Escape') desk.endOutline(given() >= ANSWERS_AFTER ? filled(props.outline, values()) : null);
      }}
    >
      <h3>Values of the {props.outline.name}, in drawing order</h3>
      <div class="fields">
        <For each={props.outline.fields}>
          {(field, index) => (
            <label>
              <b>{field.name}</b> <span>{field.words}</span>
              <input
                ref={(element) => {
                  if (index() === 0) queueMicrotask(() => element.focus());
                }}
                type="text"
                placeholder={field.usual}
                on:change={(event) => give(field.name, event.currentTarget.value)}
              />
            </label>
          )}
        </For>
      </div>
      <p class="hint">
        {given() < ANSWERS_AFTER
          ? `The first answer comes with the third value; what is open then stands at the usual value shown.`
          : open().length === 0
            ? 'Every value is given.'
            : `Still at a usual value, not given: ${open().join(', ')}.`}
      </p>
      <button type="submit" class="txt">
        done
      </button>
    </form>
  );
}
