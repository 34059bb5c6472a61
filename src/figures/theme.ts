/** Colours of figures by role, light and dark; the page's custom properties come first where a page is around. */
import type { Tone } from './scene.ts';

export type Theme = 'light' | 'dark';

const LIGHT: Readonly<Record<Tone, string>> = {
  paper: '#f7f7f3',
  ink: '#15202b',
  ink2: '#4b5763',
  rule: '#aeb4b6',
  hair: '#d8dbd8',
  volt: '#00568c',
  voltl: '#0072b2',
  amp: '#9c3a00',
  ampl: '#d55e00',
  lim: '#9c3a00',
  ok: '#00624a',
  okl: '#009e73',
  mind: '#6f4b00',
  mindl: '#e69f00',
  cap: '#8a2f63',
  capl: '#b8568a',
  band: 'rgba(213, 94, 0, 0.075)',
  hatch: 'rgba(190, 80, 0, 0.42)',
  hatch2: 'rgba(75, 87, 99, 0.42)',
  env: '#eaf1f5',
  bar: '#9db7c6',
};

const DARK: Readonly<Record<Tone, string>> = {
  paper: '#34383b',
  ink: '#f1eee5',
  ink2: '#c5c7c2',
  rule: '#82888c',
  hair: '#565c60',
  volt: '#9fd3f4',
  voltl: '#7cc2ec',
  amp: '#f9bd95',
  ampl: '#ec9355',
  lim: '#f9bd95',
  ok: '#86dcbf',
  okl: '#4cc09b',
  mind: '#f2c96f',
  mindl: '#e6a820',
  cap: '#efc0d9',
  capl: '#d58fb5',
  band: 'rgba(236, 147, 85, 0.12)',
  hatch: 'rgba(236, 147, 85, 0.5)',
  hatch2: 'rgba(197, 199, 194, 0.4)',
  env: '#46545d',
  bar: '#6b8594',
};

/** The colour of a role, as canvas and print need it. */
export function colourOf(tone: Tone, theme: Theme): string {
  return (theme === 'dark' ? DARK : LIGHT)[tone];
}

/** The colour of a role as a custom property of the page, with the theme's own as fallback. */
export function propertyOf(tone: Tone, theme: Theme): string {
  return `var(--${tone}, ${colourOf(tone, theme)})`;
}
