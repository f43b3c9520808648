import { html, type Insert, type Markup } from '../markup.js';

export interface Column {
  readonly name: string;
  /** Figures stand at the right, words at the left. */
  readonly figures?: boolean;
}

/** With no more rows than this a table is printed on one page. */
const SHORT = 16;
/** With more columns than this it is printed smaller. */
const MANY = 7;

/**
 * A table with a caption and headed columns, in a frame of its own that scrolls sideways on a small screen.
 * The first cell of each row is its heading.
 */
export function table(
  caption: string,
  columns: readonly Column[],
  rows: readonly (readonly Insert[])[],
): Markup {
  const side = (i: number) => (columns[i]?.figures ? html` class="n"` : html``);
  return html`<div class="scroll${rows.length <= SHORT && ' short'}${columns.length > MANY && ' many'}" role="region" aria-label="${caption}" tabindex="0"><table>
<caption><span>${caption}</span></caption>
<thead><tr>${columns.map(({ name }, i) => html`<th scope="col"${side(i)}>${name}</th>`)}</tr></thead>
<tbody>
${rows.map(
  ([first, ...rest]) =>
    html`<tr><th scope="row"${side(0)}>${first ?? null}</th>${rest.map((cell, i) => html`<td${side(i + 1)}>${cell}</td>`)}</tr>\n`,
)}</tbody>
</table></div>
`;
}
