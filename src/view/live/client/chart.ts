import { settingWords } from '../../../document/model/wording.js';
import { visibleText } from '../../../document/text/visible-text.js';
import type { RunView } from '../../run-view.js';
import { apart, byId, element } from './dom.js';
import { drawPanel, lineSample } from './panel.js';
import { panelsOf } from './panels.js';

/** Draws the curve of the step that is being played whenever it has grown or the window has changed. */
export class Chart {
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
    const panels = panelsOf(curve, this.view.claim_W);
    const width = Math.max(260, Math.floor(this.place.clientWidth));
    const share = panels.length > 1 ? 0.36 : 0.6;
    const height = Math.round(Math.min(560, Math.max(panels.length > 1 ? 190 : 280, share * width)));
    this.place.replaceChildren(...panels.map((panel) => drawPanel(panel, width, height)));
    byId('curve-about').replaceChildren(
      apart(visibleText(curve.step)),
      `: ${curve.stepKind}, ${settingWords(curve.load_ohm, curve.driven)}. The ring marks the latest reading.`,
    );
    const channels = [...new Set(panels[0]!.series.map(({ channel }) => channel))];
    byId('curve-key').replaceChildren(
      ...channels.map((channel) => element('li', '', lineSample(channel), `channel ${channel}`)),
    );
  }
}
