import { figure } from '../chart/figure.js';
import type { Block, Column, KeyFigure, Section, Table, TableCell, TextLook } from '../model/block.js';
import { html, type Markup } from './markup.js';
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

/** With no more rows than this a table is printed on one page. */
const SHORT = 16;
/** With more columns than this it is printed smaller. */
const MANY = 7;

/**
 * A table with a caption and headed columns, in a frame of its own that scrolls sideways on a small screen.
 * The first cell of each row is its heading.
 */
function renderTable({ title, columns, rows, look }: Table): Markup {
  const caption = typeset(title);
  const [short, many] = [rows.length <= SHORT, columns.length > MANY];
  const classes = html`scroll${short && ' short'}${many && ' many'}${look === 'pairs' && ' pairs'}`;
  return html`<div class="${classes}" role="region" aria-label="${caption}, table" tabindex="0"><table>
<caption><span>${caption}</span></caption>
<thead><tr>${columns.map((column) => html`<th scope="col"${sideOf(column)}>${typeset(column.name)}</th>`)}</tr></thead>
<tbody>
${rows.map(
  ([first, ...rest]) =>
    html`<tr><th scope="row"${sideOf(columns[0])}>${cellOf(first, columns[0])}</th>${rest.map((cell, i) => html`<td${sideOf(columns[i + 1])}>${cellOf(cell, columns[i + 1])}</td>`)}</tr>\n`,
)}</tbody>
</table></div>
`;
}

const sideOf = (column: Column | undefined): Markup => (column?.figures ? html` class="n"` : html``);

function cellOf(cell: TableCell = '', column?: Column): Markup {
  const { text, state, exact, given } = typeof cell === 'string' ? { text: cell } : cell;
  const words = given ? html`<bdi>${text}</bdi>` : linesOf(text, column?.figures ?? false);
  const valued = exact === undefined ? words : html`<data value="${exact}">${words}</data>`;
  return state === undefined ? valued : html`<span class="${state}">${valued}</span>`;
}

/** Lines of a cell; the uncertainty of a figure may stand below its value where a table is narrow. */
function linesOf(text: string, figures: boolean): Markup {
  const lines = text.split('\n').map((line) => {
    const at = figures ? line.indexOf(' ± ') : -1;
    if (at < 0) return html`${typeset(line)}`;
    return html`${typeset(line.slice(0, at))}<small> ${typeset(line.slice(at + 1)).replace('± ', '±\u00a0')}</small>`;
  });
  return html`${lines.map((line, i) => html`${i > 0 && html`<br>`}${line}`)}`;
}
