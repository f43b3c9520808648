import { html, Markup } from '../html/markup.js';
import { typeset } from '../html/typeset.js';
import type { Chart, Curve } from '../model/block.js';
import { keySample } from './key-sample.js';
import { axesOf, SIZES, type SizeName } from './plot.js';
import { renderChart } from './render-svg.js';

/** A chart with its title, key and caption. Drawn in the sizes it may be shown in; style picks the one that fits. */
export function figure(chart: Chart): Markup {
  const { id, title, below, curves, notes = [], wide = false } = chart;
  const sizes: readonly SizeName[] = wide ? ['narrow', 'middle', 'wide'] : ['narrow', 'middle'];
  const words = typeset(captionOf(chart));
  return html`<figure class="${wide ? 'full' : 'half'}" aria-labelledby="${below !== undefined && `${below} `}${id}-title">
<h3 id="${id}-title">${typeset(title)}</h3>
${keyOf(curves)}
<div class="plot">${sizes.map((size) => html`<div class="${size}">${new Markup(renderChart(chart, SIZES[size], words))}</div>`)}</div>
<figcaption>${words}${notes.length > 0 && html`<ol class="notes">${notes.map((note) => html`<li>${typeset(note)}</li>`)}</ol>`}</figcaption>
</figure>
`;
}

/** Fewer than two curves need no key. */
function keyOf(curves: readonly Curve[]): Markup | false {
  const named = curves.map((curve, i) => ({ curve, i })).filter(({ curve }) => curve.name !== '');
  if (named.length < 2) return false;
  return html`<ul class="key">${named.map(({ curve, i }) => html`<li>${new Markup(keySample(curve, i))}<bdi>${typeset(curve.name)}</bdi></li>`)}</ul>`;
}

/** What a picture shows in words, with what its drawing needs for being read. */
export function captionOf(chart: Chart): string {
  const points = chart.curves.flatMap((curve) => curve.points);
  const { across, up } = axesOf(chart);
  const cut = [up, across].filter(({ scale, unit, low }) => scale === 'linear' && unit === 'W' && low > 0);
  const bands = chart.curves.some(
    ({ uncertainty, points: own }) => uncertainty === 'band' && own.some(isUncertain),
  );
  const bars = chart.curves.some(
    ({ uncertainty, points: own }) => uncertainty === undefined && own.some(isUncertain),
  );
  return [
    chart.words,
    ...(bands ? ['Shaded: expanded uncertainty.'] : []),
    ...(bars ? ['Bars: expanded uncertainty, where wider than the marker.'] : []),
    ...(points.some(({ doubtful }) => doubtful) ? ['Hollow markers: readings with a flag.'] : []),
    ...(chart.curves.some(({ look }) => look === 'unlike')
      ? ['Thin dotted lines with hollow markers: another setting.']
      : []),
    ...(cut.length > 0 ? ['The power axis does not begin at zero.'] : []),
    ...(up.zero_dB === null ? [] : ['At the right: decibels below the highest.']),
  ].join(' ');
}

const isUncertain = ({ within }: { readonly within?: number | null }): boolean =>
  within != null && within > 0;
