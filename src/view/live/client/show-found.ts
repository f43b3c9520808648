import type { FoundFigure, RunView } from '../../run-view.js';
import { byId, element, shownText } from './dom.js';

/** Shows what the steps concluded so far, figures of one name together; touched only when there is more. */
export class Found {
  private shown = -1;
  private last: FoundFigure | undefined;

  show({ found }: RunView): void {
    if (found.length === this.shown && found.at(-1) === this.last) return;
    this.shown = found.length;
    this.last = found.at(-1);
    byId('found-section').hidden = found.length === 0;
    const names = [...new Set(found.map(({ name }) => name))];
    byId('found').replaceChildren(
      ...names.flatMap((name) => rowsOf(found.filter((figure) => figure.name === name))),
    );
  }
}

const rowsOf = (figures: readonly FoundFigure[]): HTMLElement[] =>
  figures.map(({ name, place, value, note }) => {
    const head = element('th', '', shownText(name));
    head.setAttribute('scope', 'row');
    const what = element('td', 'n', shownText(value));
    if (note !== '') what.append(element('small', '', shownText(note)));
    return element('tr', '', head, element('td', '', shownText(place)), what);
  });
