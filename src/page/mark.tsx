/** The mark beside a verdict: disc, cross, triangle, dash. Always second to its words. */
import type { JSX } from 'solid-js';
import type { Mark as MarkKind } from '../session/verdicts.ts';

export function Mark(props: { kind: MarkKind }): JSX.Element {
  return (
    <svg class={`mk ${props.kind}`} viewBox="0 0 14 14" width="14" height="14" aria-hidden="true">
      {props.kind === 'ok' ? (
        <circle cx="7" cy="7" r="4.6" />
      ) : (
        <path d={{ fails: 'M3 3l8 8M11 3l-8 8', mind: 'M7 1.8 12.6 12H1.4z', none: 'M3 7h8' }[props.kind]} />
      )}
    </svg>
  );
}
