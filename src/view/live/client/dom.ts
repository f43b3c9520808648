import { visibleText } from '../../../document/text/visible-text.js';
import { NO_BREAK, QUANTITY_GAP } from '../../../document/text/wrap-text.js';

/** The element with this id, which the page is known to have. */
export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no #${id}`);
  return found as T;
}

/** A new element with a class and content. Text stays text whatever it says. */
export function element(tag: string, className = '', ...content: readonly (string | Node)[]): HTMLElement {
  const made = document.createElement(tag);
  if (className !== '') made.className = className;
  made.append(...content);
  return made;
}

/** A drawing of our own making as part of the page. */
export function drawn(svg: string): Element {
  const place = document.createElement('template');
  place.innerHTML = svg;
  return place.content.firstElementChild!;
}

/** Sets a text only if it is another: a reader that speaks is not to repeat itself. */
export function setText(place: HTMLElement, text: string): void {
  if (place.textContent !== text) place.textContent = text;
}

/** A text of the run as it is shown: nothing hidden in it, no line ending between a number and its unit. */
export const shownText = (text: string): string => visibleText(text).replace(QUANTITY_GAP, NO_BREAK);

/** Text in which the direction of one part does not turn that of the rest. */
export const apart = (text: string): HTMLElement => element('bdi', '', text);
