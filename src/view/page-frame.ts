import { html, Markup } from '../document/html/markup.js';
import { type Page, renderPage } from '../document/html/page.js';
import { PAGE_STYLE } from '../document/html/page-style.js';
import type { Document } from './local-route.js';

/** What pages served on this machine have beyond a report: things to press and to choose. */
const FRAME_STYLE = `
header{display:flow-root}
button,select,input,.button{font:inherit;color:inherit;background:var(--paper);border:1px solid var(--soft);border-radius:3px;
padding:7px 14px;min-height:40px}
button,.button{cursor:pointer;font-weight:600}
button:hover,.button:hover{border-color:var(--ink)}
button:disabled{color:var(--soft);border-color:var(--grid);cursor:default}
a{color:var(--line1)}
a:focus-visible,button:focus-visible,select:focus-visible,input:focus-visible,[tabindex]:focus-visible{outline:2px solid var(--line1);outline-offset:3px}
[hidden]{display:none!important}
`;

interface FramedPage extends Omit<Page, 'policy' | 'script'> {
  /** The text of a script within the page. */
  readonly script?: string;
}

/**
 * A page with the look of a report, allowed to run and to load what it names and nothing else.
 *
 * @param framed its style is what it has beyond that of all pages
 */
export function pageFrame({ script, ...page }: FramedPage): Document {
  const style = `${PAGE_STYLE}${FRAME_STYLE}${page.style}`;
  return {
    status: 200,
    type: 'text/html; charset=utf-8',
    body: renderPage({
      ...page,
      style,
      ...(script !== undefined && { script: html`<script>${new Markup(script)}</script>` }),
    }),
    inline: {
      styles: [style],
      scripts: script === undefined ? [] : [script],
      ownScripts: page.modules !== undefined,
    },
  };
}
