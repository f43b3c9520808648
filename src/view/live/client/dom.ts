import { NO_BREAK, QUANTITY_GAP } from '../../../document/text/wrap-text.js';
import { visibleText } from '../../../units/visible-text.js';

/** The element with this id, which the page is known to have. */
export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no #${id}`);
  return found as T;
}

/** A new element with a class and content. Text stays text whatever it says, and nothing in it is hidden. */
export function element(tag: string, className = '', ...content: readonly (string | Node)[]): HTMLElement {
  const made = document.createElement(tag);
  if (className !== '') made.className = className;
  made.append(...content.map((part) => (typeof part === 'string' ? visibleText(part) : part)));
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
  const shown = visibleText(text);
  if (place.textContent !== shown) place.textContent = shown;
}

/** A text of the run with no line ending between a number and its unit. */
export const shownText = (text: string): string => text.replace(QUANTITY_GAP, NO_BREAK);

/** Text in which the direction of one part does not turn that of the rest. */
export const apart = (text: string): HTMLElement => element('bdi', '', text);
