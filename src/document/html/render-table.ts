import type { Column, Table, TableCell } from '../model/block.js';
import { html, type Markup } from './markup.js';
import { typeset } from './typeset.js';

/** With no more rows than this a table is printed on one page. */
const SHORT = 16;
/** With more columns than this it is printed smaller. */
const MANY = 7;

/**
 * A table with a caption and headed columns, in a frame of its own that scrolls sideways on a small screen.
 * The first cell of each row is its heading.
 */
export function renderTable({ title, columns, rows, look }: Table): Markup {
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
