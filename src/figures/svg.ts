/** A scene as SVG text, for page, print and files. Texts are escaped; nothing of a sheet is ever markup. */
import { layOut, type Size } from './layout.ts';
import type { Dot, Shape, Stroke, TextShape } from './picture.ts';
import type { Scene } from './scene.ts';
import { DROP_SCALE, sizeOf } from './text.ts';
import { propertyOf, type Theme } from './theme.ts';

const SANS = "'Source Sans 3', system-ui, sans-serif";
const SERIF = "'STIX Two Text', Georgia, serif";

const ESCAPES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (c) => ESCAPES[c]);
}

/** Coordinates to a hundredth of a pixel. */
function coordinate(value: number): string {
  const text = value.toFixed(2).replace(/\.?0+$/, '');
  return text === '-0' ? '0' : text;
}

function pathData(points: readonly Dot[]): string {
  return points.map(([x, y], k) => `${k === 0 ? 'M' : 'L'}${coordinate(x)} ${coordinate(y)}`).join('');
}

function strokeAttributes(stroke: Stroke, theme: Theme): string {
  const dash = stroke.dash === undefined ? '' : ` stroke-dasharray="${stroke.dash.join(' ')}"`;
  const round = stroke.round ? ' stroke-linecap="round" stroke-linejoin="round"' : '';
  return `stroke="${propertyOf(stroke.tone, theme)}" stroke-width="${stroke.width}"${dash}${round}`;
}

function textElement(shape: TextShape, theme: Theme, part: string): string {
  const halo = shape.halo ? ` paint-order="stroke" stroke="${propertyOf('paper', theme)}" stroke-width="4" stroke-linejoin="round"` : '';
  let lowered = 0;
  const spans = shape.runs.map((run) => {
    const shift = (run.drop ? 3 : 0) - lowered;
    lowered = run.drop ? 3 : 0;
    const size = sizeOf(run, shape.size) * (run.drop ? DROP_SCALE : 1);
    const attributes = [
      shift === 0 ? '' : ` dy="${shift}"`,
      run.bold ? ' font-weight="600"' : '',
      run.node ? ` font-family="${SERIF}" font-style="italic"` : '',
      size === shape.size ? '' : ` font-size="${coordinate(size)}"`,
      run.tone === undefined ? '' : ` fill="${propertyOf(run.tone, theme)}"`,
    ].join('');
    return attributes === '' ? escaped(run.text) : `<tspan${attributes}>${escaped(run.text)}</tspan>`;
  });
  const anchor = shape.anchor === 'start' ? '' : ` text-anchor="${shape.anchor}"`;
  return `<text x="${coordinate(shape.x)}" y="${coordinate(shape.y)}" font-size="${shape.size}" fill="${propertyOf(shape.tone, theme)}"${anchor}${halo}${part} xml:space="preserve">${spans.join('')}</text>`;
}

function element(shape: Shape, theme: Theme): string {
  const part = 'part' in shape && shape.part !== undefined ? ` data-part="${escaped(shape.part)}"` : '';
  switch (shape.kind) {
    case 'lines':
      return `<path d="${shape.paths.map(pathData).join('')}" fill="none" ${strokeAttributes(shape.stroke, theme)}${part}/>`;
    case 'area': {
      const stroke = shape.stroke === undefined ? '' : ` ${strokeAttributes(shape.stroke, theme)}`;
      return `<path d="${pathData(shape.points)}Z" fill="${propertyOf(shape.fill, theme)}"${stroke}${part}/>`;
    }
    case 'discs': {
      const stroke = shape.stroke === undefined ? '' : ` ${strokeAttributes(shape.stroke, theme)}`;
      const circles = shape.centres.map(([x, y]) => `<circle cx="${coordinate(x)}" cy="${coordinate(y)}" r="${shape.radius}"/>`).join('');
      return `<g fill="${propertyOf(shape.fill, theme)}"${stroke}>${circles}</g>`;
    }
    case 'text':
      return textElement(shape, theme, part);
  }
}

/**
 * The scene as one `<svg>` element, at its natural height for `size.width` (default 700 px).
 * Colours are the page's custom properties with the theme's as fallback, so the element also stands alone.
 */
export function toSvg(scene: Scene, theme: Theme = 'light', size: Size = {}): string {
  const picture = layOut(scene, size);
  const { width, height } = picture;
  const shapes = picture.shapes.map((shape) => element(shape, theme)).join('\n');
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" font-family="${SANS}" style="font-variant-numeric: tabular-nums lining-nums">`,
    `<title>${escaped(scene.title)}</title>`,
    `<desc>${escaped(scene.description)}</desc>`,
    shapes,
    '</svg>',
    '',
  ].join('\n');
}
