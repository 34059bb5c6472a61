import type { JSX } from 'solid-js';
import { changeTheme, theme } from './theme.ts';

export interface HeaderProps {
  title: string;
  meta: string;
  sheetOpen: boolean;
  openShown: boolean;
  onSheet(): void;
  onOpen(): void;
  onSave(): void;
  onLink(): void;
  projected: boolean;
  onProject(): void;
}

export function Header(props: HeaderProps): JSX.Element {
  return (
    <header class="head">
      <a class="skip" href="#answers">
        to the answers
      </a>
      <span class="name">
        <svg class="logo" viewBox="0 0 34 26" width="34" height="26" aria-hidden="true">
          <path d="M1 24.5H33" />
          <path d="M1 9C4-1 8-1 11 9c1 3 2 4.5 3.5 4.5H21C22.5 13.5 23 12 24 9" />
          <path class="ld" d="M17.5 15.5V23M17.5 23.5l-2.2-3.6h4.4zM17.5 15l-2.2 3.6h4.4z" />
        </svg>
        Footroom
      </span>
      <h1>{props.title}</h1>
      <span class="meta">{props.meta}</span>
      <nav class="tools" aria-label="This sheet">
        <button
          type="button"
          class="txt"
          aria-expanded={props.sheetOpen}
          title="The text of the sheet (key: t)"
          on:click={() => props.onSheet()}
        >
          sheet
        </button>
        <button
          type="button"
          class="txt"
          aria-expanded={props.openShown}
          title="A file, an example, an outline (Ctrl+O: a file)"
          on:click={() => props.onOpen()}
        >
          open
        </button>
        <button type="button" class="txt" title="Save the sheet as a file (Ctrl+S)" on:click={() => props.onSave()}>
          save
        </button>
        <button type="button" class="txt" title="A link that carries the whole sheet" on:click={() => props.onLink()}>
          link
        </button>
        <button
          type="button"
          class="txt project"
          aria-pressed={props.projected}
          title="Type enlarged, one question at a time, for a projector"
          on:click={() => props.onProject()}
        >
          project
        </button>
        <button type="button" class="txt" on:click={changeTheme}>
          {theme() === 'dark' ? 'light' : 'dark'}
        </button>
      </nav>
    </header>
  );
}
