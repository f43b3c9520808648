import { keySample } from '../../../document/chart/key-sample.js';
import { renderChart } from '../../../document/chart/render-svg.js';
import type { Chart, Curve } from '../../../document/model/block.js';
import { settingWords } from '../../../document/model/wording.js';
import type { RunView } from '../../run-view.js';
import { stepCharts } from '../../step-charts.js';
import { apart, byId, drawn, element } from './dom.js';

/** Draws the curve of the step that is being played whenever it has grown or the window has changed. */
export class Charts {
  private readonly place = byId('panels');
  private view: RunView | null = null;
  private waiting = false;

  constructor() {
    new ResizeObserver(() => this.soon()).observe(this.place);
  }

  show(view: RunView): void {
    this.view = view;
    this.soon();
  }

  /** Once a frame at most, and not while nobody sees it. */
  private soon(): void {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.draw();
    });
  }

  private draw(): void {
    const curve = this.view?.curve;
    if (!this.view || !curve) return;
    const charts = stepCharts(curve, this.view.claim_W);
    const width = Math.max(260, Math.floor(this.place.clientWidth));
    const share = charts.length > 1 ? 0.36 : 0.6;
    const height = Math.round(Math.min(560, Math.max(charts.length > 1 ? 200 : 280, share * width)));
    this.place.replaceChildren(
      ...charts.flatMap((chart) => [
        element('h3', '', chart.title),
        drawn(renderChart(chart, { width, height })),
      ]),
    );
    byId('curve-about').replaceChildren(
      apart(curve.step),
      `: ${curve.stepKind}, ${settingWords(curve.load_ohm, curve.driven)}. The ring marks the latest reading.`,
    );
    byId('curve-key').replaceChildren(...keyOf(charts[0]!));
  }
}

const keyOf = ({ curves }: Chart): HTMLElement[] =>
  curves
    .filter(({ name }) => name !== '')
    .map((curve: Curve, i) => element('li', '', drawn(keySample(curve, i)), curve.name));
