import { html, Markup } from '../html/markup.js';
import type { SizeName } from './axes.js';
import { lineStyle } from './line-style.js';

export interface FigureParts {
  readonly id: string;
  readonly title: string;
  /** What the picture shows, in words: read out in its place, and printed below it. */
  readonly words: string;
  /** Names of the curves in drawing order; fewer than two need no key. */
  readonly curves: readonly string[];
  /** Right across the page, or half of it. */
  readonly span: 'full' | 'half';
  readonly draw: (size: SizeName) => string;
  /** What stands below the caption, such as notes on single points. */
  readonly notes?: Markup | null;
}

/** A chart with its title, key and caption. Drawn in the sizes it may be shown in; style picks the one that fits. */
export function figure({ id, title, words, curves, span, draw, notes = null }: FigureParts): Markup {
  const sizes: readonly SizeName[] = span === 'full' ? ['narrow', 'middle', 'wide'] : ['narrow', 'middle'];
  return html`<figure class="${span}" aria-labelledby="${id}-title">
<h3 id="${id}-title">${title}</h3>
${curves.length > 1 && keyOf(curves)}
<div class="plot">${sizes.map((size) => html`<div class="${size}">${new Markup(draw(size))}</div>`)}</div>
<figcaption>${words}${notes}</figcaption>
</figure>
`;
}

function keyOf(curves: readonly string[]): Markup {
  return html`<ul class="key">${curves.map((name, i) => html`<li>${sample(i)}${name}</li>`)}</ul>`;
}

/** A stretch of the line with its marker, as it is drawn in the chart. */
function sample(index: number): Markup {
  const { colour, dash, marker } = lineStyle(index);
  return html`<svg viewBox="0 0 38 12" width="38" height="12" aria-hidden="true" style="color:var(--${colour})"><path d="M0,6H38" stroke="currentColor" stroke-width="1.6" stroke-dasharray="${dash.join(' ')}"/><path d="${marker}" fill="currentColor" transform="translate(19,6) scale(3.6)"/></svg>`;
}
