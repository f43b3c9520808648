import { html, type Markup } from '../../document/html/markup.js';
import { visibleText } from '../../document/text/visible-text.js';
import type { Document } from '../local-route.js';
import { pageFrame } from '../page-frame.js';
import { BROWSE_STYLE } from './browse-style.js';

/** A page of the shelf: its title, which database it shows, and the content. */
export function framed(title: string, shelf: string, base: string, content: Markup): Document {
  return pageFrame({
    title: `${title} – ohmest`,
    over: ['Power amplifier measurements', html`<bdi>${visibleText(shelf)}</bdi>`],
    header: html`<h1><a href="${base}/">${title}</a></h1>`,
    main: content,
    footer:
      'Served by ohmest on this machine only, until the program is ended with Ctrl-C. Nothing is changed by looking.',
    style: BROWSE_STYLE,
  });
}
