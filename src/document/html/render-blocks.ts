import { figure } from '../chart/figure.js';
import type { Block, KeyFigure, Section, TextLook } from '../model/block.js';
import { html, type Markup } from './markup.js';
import { renderTable } from './render-table.js';
import { typeset } from './typeset.js';

/** Sections as HTML, each with its heading. */
export const renderSections = (sections: readonly Section[]): Markup =>
  html`${sections.map(
    ({ id, title, blocks }) =>
      html`<section aria-labelledby="${id}"><h2 id="${id}">${typeset(title)}</h2>
${renderBlocks(blocks)}</section>
`,
  )}`;

/** Blocks as HTML. Charts that follow each other stand in one grid. */
export function renderBlocks(blocks: readonly Block[]): Markup {
  const groups: Block[][] = [];
  for (const block of blocks) {
    const last = groups.at(-1);
    if (last && isPicture(block) && isPicture(last[0]!)) last.push(block);
    else groups.push([block]);
  }
  return html`${groups.map((group) => {
    const drawn = group.map(renderBlock);
    return isPicture(group[0]!) ? html`<div class="figures">${drawn}</div>` : drawn;
  })}`;
}

const isPicture = ({ kind }: Block): boolean => kind === 'chart';

function renderBlock(block: Block): Markup {
  switch (block.kind) {
    case 'text':
      return html`<p${LOOKS[block.look ?? 'plain']}>${typeset(block.text)}</p>\n`;
    case 'list':
      return html`<ul>${block.items.map((item) => html`<li>${typeset(item)}</li>\n`)}</ul>`;
    case 'table':
      return renderTable(block);
    case 'figures':
      return html`<dl class="keys">${block.figures.map(keyFigure)}</dl>\n`;
    case 'chart':
      return figure(block);
    case 'verbatim':
      return html`<pre tabindex="0"><bdi>${block.text}</bdi></pre>\n`;
    case 'details':
      return html`<details${block.screen ? html` class="screen"` : html` class="paper"`}><summary>${typeset(block.title)}</summary>
${renderBlocks(block.blocks)}</details>
`;
  }
}

const LOOKS: Readonly<Record<TextLook, Markup>> = {
  plain: html``,
  lead: html` class="lead"`,
  strong: html` class="verdict"`,
  warning: html` class="outcome" role="note"`,
  small: html` class="small"`,
};

const keyFigure = ({ name, value, below }: KeyFigure): Markup =>
  html`<div><dt>${typeset(name)}</dt><dd>${typeset(value)}<small>${typeset(below)}</small></dd></div>`;
