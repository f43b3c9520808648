import { visibleText } from '../../units/visible-text.js';

/** A piece of HTML that is safe to put into a page as it stands. */
export class Markup {
  constructor(readonly text: string) {}
  toString(): string {
    return this.text;
  }
}

export type Insert = string | number | Markup | null | false | readonly Insert[];

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Makes text harmless inside HTML content and quoted attributes, and shows what would act on its reader unseen. */
export const escapeHtml = (text: string): string =>
  visibleText(text).replace(/[&<>"']/g, (found) => ENTITIES[found]!);

function render(value: Insert): string {
  if (value === null || value === false) return '';
  if (value instanceof Markup) return value.text;
  return Array.isArray(value) ? value.map(render).join('') : escapeHtml(String(value));
}

/**
 * Template tag for HTML. Everything inserted is escaped unless it is Markup already, so that a text
 * from a run cannot become part of the page. Lists are joined; null and false leave nothing.
 */
export function html(parts: TemplateStringsArray, ...values: readonly Insert[]): Markup {
  return new Markup(parts.map((part, i) => part + (i < values.length ? render(values[i]!) : '')).join(''));
}
