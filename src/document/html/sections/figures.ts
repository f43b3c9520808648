import { figure } from '../../chart/figure.js';
import { runCharts } from '../../model/charts/run-charts.js';
import type { FigureGround } from '../../model/figure-ground.js';
import { html, type Markup } from '../markup.js';

/** All charts of a run. */
export function figures(ground: FigureGround): Markup {
  const drawn = runCharts(ground).map(figure);
  if (drawn.length === 0) return html`<p>No reading was taken, so there is nothing to draw.</p>`;
  return html`<section aria-labelledby="charts"><h2 id="charts" class="unseen">Charts</h2><div class="figures">${drawn}</div></section>`;
}
