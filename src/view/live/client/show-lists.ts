import type { RunView } from '../../run-view.js';
import { apart, byId, element, shownText } from './dom.js';

/** Keeps the plan, the events and the armed trips as they stand, each touched only when it has changed. */
export class Lists {
  private plan = '';
  private trips = '';
  private last: unknown = null;

  show(view: RunView): void {
    this.showPlan(view);
    this.showEvents(view);
    const trips = view.armed.join('\n');
    if (trips === this.trips) return;
    this.trips = trips;
    byId('armed').replaceChildren(...view.armed.map((text) => element('li', '', shownText(text))));
  }

  private showPlan({ steps, state }: RunView): void {
    const plan = JSON.stringify([steps, state]);
    if (plan === this.plan) return;
    this.plan = plan;
    const list = byId('steps');
    // Of a run that did not reach its end, the last step that was begun is the one that was not finished.
    const whole = state === 'running' || state === 'completed';
    const torn = whole ? -1 : steps.findLastIndex(({ stage }) => stage === 'done');
    const rows = steps.map(({ id, words, stage }, i) => {
      const name = element('bdi', '', id);
      const row = element(
        'li',
        stage,
        element('span', 'stage', i === torn ? 'begun' : stage),
        name,
        element('span', '', shownText(words)),
      );
      if (stage === 'now') row.setAttribute('aria-current', 'step');
      return row;
    });
    list.replaceChildren(...rows);
    const now = rows.find((row) => row.className === 'now');
    if (now) list.scrollTop = now.offsetTop - list.offsetTop - list.clientHeight / 3;
  }

  /** The newest first. */
  private showEvents({ events }: RunView): void {
    const last = events.at(-1);
    if (last === this.last) return;
    this.last = last;
    byId('events').replaceChildren(
      ...events
        .toReversed()
        .map(({ at_s, kind, text }) =>
          element(
            'li',
            '',
            element('time', '', clock(at_s)),
            element('span', '', `${kind}: `, apart(shownText(text))),
          ),
        ),
    );
  }
}

/** `1:02:03` on the clock of the bench. */
function clock(at_s: number): string {
  const whole = Math.floor(at_s);
  const two = (part: number) => String(part).padStart(2, '0');
  return `${Math.floor(whole / 3600)}:${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
}
