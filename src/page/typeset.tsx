/** A rule with its symbols, typeset: MathML made from the structured formula, taken in as elements and never as page text. */
import { createEffect, type JSX } from 'solid-js';
import type { Formula } from '../explain/pencil/formula.ts';
import { toMathML } from '../explain/pencil/mathml.ts';

/** Widths at which the page has one column. */
const narrow = matchMedia('(max-width: 900px)');

export function Typeset(props: { formula: Formula }): JSX.Element {
  let place: HTMLSpanElement | undefined;
  createEffect(() => {
    const parsed = new DOMParser().parseFromString(toMathML(props.formula), 'application/xml');
    place?.replaceChildren(document.importNode(parsed.documentElement, true));
  });
  // Where a long rule has to be scrolled on a narrow screen, the keyboard reaches it too.
  return <span class="typeset" ref={place} tabIndex={narrow.matches ? 0 : undefined} />;
}
