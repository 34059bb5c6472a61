/** A plan as SVG, fit for a book: labelled groups, our two typefaces by name, colours that a page may override. */
import type { Habit, Mark, MarkGroup, MarkRole, Run } from './mark.ts';
import { CAPTION_HEIGHT, marksOf } from './marks.ts';
import { FACE, type Plan } from './plan.ts';
import { typefaceMetrics } from './text.ts';
import type { DrawingValues } from './values.ts';

export interface SvgOptions {
  title: string;
  description: string;
  habit: Habit;
  /** `paper` draws its own ground; `none` leaves the page's. */
  theme: 'paper' | 'none';
  /** Line beneath with the moment and the key of currents; default true. */
  caption?: boolean;
}

/** Colours of paper and ink; a page that sets the properties overrides them. */
const COLOURS: Record<string, string> = {
  paper: '#f7f7f3',
  ink: '#15202b',
  ink2: '#4b5763',
  volt: '#00568c',
  amp: '#9c3a00',
  ampl: '#d55e00',
  env: '#eaf1f5',
  okl: '#009e73',
  mind: '#6f4b00',
};
const colour = (name: string): string => `var(--${name},${COLOURS[name]})`;

const STYLES: Record<MarkRole, string> = {
  wire: `fill:none;stroke:${colour('ink')};stroke-width:1.3;stroke-linecap:square`,
  symbol: `fill:none;stroke:${colour('ink')};stroke-width:1.6`,
  filled: `fill:${colour('paper')};stroke:${colour('ink')};stroke-width:1.6`,
  rail: `fill:none;stroke:${colour('ink')};stroke-width:2.4`,
  plate: `fill:none;stroke:${colour('ink')};stroke-width:2.4`,
  bar: `fill:${colour('ink')}`,
  lead: `fill:none;stroke:${colour('ink')};stroke-width:1.6`,
  fine: `fill:none;stroke:${colour('ink')};stroke-width:1.2`,
  solid: `fill:${colour('ink')}`,
  dot: `fill:${colour('ink')}`,
  terminal: `fill:${colour('paper')};stroke:${colour('ink')};stroke-width:1.4`,
  envelope: `fill:${colour('env')};stroke:${colour('ink')};stroke-width:1.6`,
  inner: `fill:${colour('env')};stroke:${colour('ink')};stroke-width:1.3`,
  frame: `fill:none;stroke:${colour('ink2')};stroke-width:1;stroke-dasharray:1.5 3.5;stroke-linecap:round`,
  arrow: `fill:${colour('ampl')}`,
  cut: `fill:none;stroke:${colour('paper')};stroke-width:3`,
  bridge: `fill:none;stroke:${colour('okl')};stroke-width:2.4`,
  bridgeDot: `fill:${colour('okl')}`,
  caution: `fill:none;stroke:${colour('mind')};stroke-width:1.6;stroke-linejoin:round`,
  generator: `fill:none;stroke:${colour('ink2')};stroke-width:1`,
};
const SANS = "'Source Sans 3',system-ui,sans-serif";
const SERIF = "'STIX Two Text',Georgia,serif";
const TEXTS: Record<Run['role'], string> = {
  designator: 'font-weight:600',
  value: 'font-weight:400',
  node: `font-family:${SERIF};font-style:italic;font-size:15px`,
  volts: `font-weight:600;fill:${colour('volt')}`,
  current: `font-weight:600;fill:${colour('amp')}`,
  small: `font-size:13px;fill:${colour('ink2')}`,
  plain: 'font-weight:400',
};

/** Style sheet of a drawing; the scope keeps it from the rest of a page. */
function styleSheet(): string {
  const scope = '.stage-drawing';
  const rules = [
    `${scope} text{font-family:${SANS};font-size:14px;fill:${colour('ink')};font-variant-numeric:tabular-nums lining-nums;white-space:pre}`,
    ...Object.entries(STYLES).map(([role, style]) => `${scope} .m-${role}{${style}}`),
    ...Object.entries(TEXTS).map(([role, style]) => `${scope} .t-${role}{${style}}`),
    // Off and lifted: hollow and dashed. Saturated: cross-hatched. Breakdown, reversed: outlined twice.
    `${scope} .off .m-envelope,${scope} .lifted .m-envelope{fill:${colour('paper')};stroke-dasharray:4 3.2}`,
    `${scope} .off .m-lead,${scope} .lifted .m-lead{stroke-dasharray:3 2.4}`,
    `${scope} .off .m-bar,${scope} .off .m-solid,${scope} .lifted .m-bar,${scope} .lifted .m-solid{fill:${colour('paper')};stroke:${colour('ink')};stroke-width:1.1}`,
    `${scope} .lifted .m-filled,${scope} .lifted .m-plate,${scope} .lifted .m-symbol{stroke-dasharray:4 3.2}`,
    `${scope} .saturated .m-envelope{fill:url(#stage-cross-hatch)}`,
    `${scope} .breakdown .m-envelope,${scope} .reversed .m-envelope{fill:${colour('paper')}}`,
    `${scope} .struck{text-decoration:line-through;text-decoration-thickness:1.4px}`,
    `${scope} .halo{paint-order:stroke;stroke:${colour('paper')};stroke-width:4px;stroke-linejoin:round}`,
    `${scope} .on-pointing{opacity:0}${scope} .on-pointing:hover,${scope} .on-pointing:focus{opacity:1}`,
    `${scope} .hatch{stroke:${colour('ink2')};stroke-width:.9;stroke-opacity:.45}`,
  ];
  return rules.join('\n');
}

/** Text for element content and attributes. Control characters, which XML forbids, are dropped. */
export function escapeXml(text: string): string {
  return [...text]
    .filter((c) => {
      const code = c.codePointAt(0) ?? 0;
      return (
        (code >= 0x20 && code !== 0x7f && code < 0xd800) || (code > 0xdfff && code < 0xfffe) || code > 0xffff || c === '\n' || c === '\t'
      );
    })
    .join('')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;')
    .replace(/'/g, '&#39;');
}

const n = (value: number): string => String(Math.round(value * 100) / 100);

function widthOf(run: Run): number {
  const { face, size } = run.role === 'plain' ? FACE.value : FACE[run.role];
  return typefaceMetrics.width(run.text, face, size);
}

function markText(mark: Mark): string {
  switch (mark.shape) {
    case 'path':
      return `<path class="m-${mark.role}" d="${mark.d}"/>`;
    case 'circle':
      return `<circle class="m-${mark.role}" cx="${n(mark.x)}" cy="${n(mark.y)}" r="${n(mark.r)}"/>`;
    case 'rect':
      return `<rect class="m-${mark.role}" x="${n(mark.x)}" y="${n(mark.y)}" width="${n(mark.width)}" height="${n(mark.height)}"${mark.radius === undefined ? '' : ` rx="${n(mark.radius)}"`}/>`;
    case 'text': {
      const runs = mark.runs.map((r) => `<tspan class="t-${r.role}">${escapeXml(r.text)}</tspan>`).join('');
      const anchor = mark.anchor === 'start' ? '' : ` text-anchor="${mark.anchor}"`;
      // The width that was laid out for: a reader without our typefaces gets the same drawing, in letters of its own.
      const width = mark.runs.reduce((sum, r) => sum + widthOf(r), 0);
      return `<text x="${n(mark.x)}" y="${n(mark.y)}" textLength="${n(width)}" lengthAdjust="spacingAndGlyphs"${anchor}${mark.struck || mark.halo ? ` class="${[...(mark.struck ? ['struck'] : []), ...(mark.halo ? ['halo'] : [])].join(' ')}"` : ''}>${runs}</text>`;
    }
  }
}

function groupText(g: MarkGroup): string {
  if (g.marks.length === 0) return '';
  const classes = [`g-${g.kind}`, ...(g.state ? [g.state] : []), ...(g.onPointing ? ['on-pointing'] : [])].join(' ');
  const of = g.of === '' ? '' : ` data-${g.kind === 'node' ? 'node' : g.kind === 'frame' ? 'load' : 'part'}="${escapeXml(g.of)}"`;
  const role = g.label === '' ? ' aria-hidden="true"' : ` role="img" aria-label="${escapeXml(g.label)}"`;
  return `<g class="${classes}"${of}${role}>${g.marks.map(markText).join('')}</g>`;
}

/** Draws a plan with values. The same arguments give the same bytes. */
export function drawSvg(plan: Plan, values: DrawingValues, options: SvgOptions): string {
  const caption = options.caption ?? true;
  const width = n(plan.box.right);
  const height = n(plan.height + (caption ? CAPTION_HEIGHT : 0));
  const groups = marksOf(plan, values, options.habit, caption)
    .map(groupText)
    .filter((g) => g !== '');
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" class="stage-drawing" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="group" aria-label="${escapeXml(options.title)}">`,
    `<title>${escapeXml(options.title)}</title>`,
    `<desc>${escapeXml(options.description)}</desc>`,
    `<style>${styleSheet()}</style>`,
    '<defs><pattern id="stage-cross-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="hatch" d="M0 0V5M0 0H5"/></pattern></defs>',
    ...(options.theme === 'paper' ? [`<rect width="${width}" height="${height}" style="fill:${colour('paper')}"/>`] : []),
    ...groups,
    '</svg>',
    '',
  ].join('\n');
}
