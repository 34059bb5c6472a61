/** Symbols of the trade in running text: `r_e`, `V_BE`, `h_FE` with their subscripts set low. */
import { For, type JSX } from 'solid-js';

const SUBSCRIPT = /\b([A-Za-z]{1,2})_([A-Za-z0-9]+)\b/g;

export function Symbols(props: { text: string }): JSX.Element {
  const pieces = (): { text: string; low: string }[] => {
    const found: { text: string; low: string }[] = [];
    let from = 0;
    for (const match of props.text.matchAll(SUBSCRIPT)) {
      found.push({ text: props.text.slice(from, match.index) + match[1], low: match[2] });
      from = match.index + match[0].length;
    }
    found.push({ text: props.text.slice(from), low: '' });
    return found;
  };
  return (
    <For each={pieces()}>
      {(piece) => (
        <>
          {piece.text}
          {piece.low === '' ? null : <sub>{piece.low}</sub>}
        </>
      )}
    </For>
  );
}
