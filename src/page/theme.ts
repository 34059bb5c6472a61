/** Light and dark: follows the system until the word in the header overrides it, which this browser then remembers. */
import { createSignal } from 'solid-js';

export type Theme = 'light' | 'dark';
const KEY = 'footroom.theme';

function remembered(): Theme | null {
  try {
    const kept = localStorage.getItem(KEY);
    return kept === 'light' || kept === 'dark' ? kept : null;
  } catch {
    return null; // storage forbidden: the system's choice stands
  }
}

const system = matchMedia('(prefers-color-scheme: dark)');
const [chosen, setChosen] = createSignal<Theme | null>(remembered());
const [systemTheme, setSystemTheme] = createSignal<Theme>(system.matches ? 'dark' : 'light');
system.addEventListener('change', () => setSystemTheme(system.matches ? 'dark' : 'light'));

export const theme = (): Theme => chosen() ?? systemTheme();

/** Changes to the other theme and remembers it. */
export function changeTheme(): void {
  const next: Theme = theme() === 'dark' ? 'light' : 'dark';
  setChosen(next);
  try {
    localStorage.setItem(KEY, next);
  } catch {
    // Storage forbidden: the choice holds until the page is closed.
  }
}
