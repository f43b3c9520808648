import { html, type Insert, Markup } from './markup.js';

/** What a page of HTML consists of, whoever shows it. */
export interface Page {
  readonly title: string;
  /** What it may do, where no server says so. */
  readonly policy?: string;
  readonly style: string;
  /** Addresses of modules of its own server. */
  readonly modules?: readonly string[];
  /** `data-…` attributes of the body, for scripts. */
  readonly data?: Readonly<Record<string, string>>;
  /** What stands above the heading, left and right. */
  readonly over: readonly [Insert, Insert];
  /** The rest of the page's header: its heading first. */
  readonly header: Insert;
  readonly main: Insert;
  readonly footer: string;
  /** The script of a page that has one within itself. */
  readonly script?: Markup;
}

export function renderPage({
  title,
  policy,
  style,
  modules = [],
  data = {},
  script,
  ...parts
}: Page): string {
  const { over, header, main, footer } = parts;
  const attributes = Object.entries(data).map(([name, value]) => html` data-${new Markup(name)}="${value}"`);
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
${policy !== undefined && html`<meta http-equiv="Content-Security-Policy" content="${new Markup(policy)}">\n`}<title>${title}</title>
<style>${new Markup(style)}</style>
${modules.map((address) => html`<script type="module" src="${address}"></script>\n`)}</head>
<body${attributes}>
<header>
<p class="over"><span>${over[0]}</span><span>${over[1]}</span></p>
${header}
</header>
<main>
${main}
</main>
<footer>${footer}</footer>
${script !== undefined && html`${script}\n`}</body>
</html>
`.text;
}
