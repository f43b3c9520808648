import { html, type Insert, Markup } from '../document/html/markup.js';
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

export interface PageFrame {
  readonly title: string;
  /** What stands above the heading, left and right. */
  readonly over: readonly [Insert, Insert];
  /** The rest of the page's header: its heading first. */
  readonly header: Insert;
  readonly main: Insert;
  readonly footer?: Insert;
  /** Beyond the style of all pages. */
  readonly style?: string;
  /** Scripts within the page, as text. */
  readonly scripts?: readonly string[];
  /** Addresses of modules on this server. */
  readonly modules?: readonly string[];
  /** `data-…` attributes of the body, for scripts. */
  readonly data?: Readonly<Record<string, string>>;
}

/** A page with the look of a report, allowed to run and to load what it names and nothing else. */
export function pageFrame(frame: PageFrame): Document {
  const { title, over, header, main, footer, style = '', scripts = [], modules = [], data = {} } = frame;
  const styles = [`${PAGE_STYLE}${FRAME_STYLE}${style}`];
  const attributes = Object.entries(data).map(([name, value]) => html` data-${new Markup(name)}="${value}"`);
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${new Markup(styles[0]!)}</style>
${modules.map((address) => html`<script type="module" src="${address}"></script>\n`)}</head>
<body${attributes}>
<header>
<p class="over"><span>${over[0]}</span><span>${over[1]}</span></p>
${header}
</header>
<main>
${main}
</main>
${footer !== undefined && html`<footer>${footer}</footer>\n`}${scripts.map((text) => html`<script>${new Markup(text)}</script>\n`)}</body>
</html>
`;
  return {
    status: 200,
    type: 'text/html; charset=utf-8',
    body: page.text,
    inline: { styles, scripts, ownScripts: modules.length > 0 },
  };
}
