import { html, type Markup } from '../html/markup.js';
import { table } from '../html/sections/table.js';
import { typeset } from '../html/typeset.js';
import { oneLine } from '../text/visible-text.js';
import { ceilingsInShort } from './ceilings-in-short.js';
import type { ComparedFigure, Comparison } from './comparison.js';
import type { Difference } from './difference.js';
import {
  changeWords,
  channelName,
  decibelWords,
  figureName,
  figureWords,
  findingWords,
  whereFound,
} from './difference-words.js';
import { ceilingRows, type FigureGroup, figureGroups, summaryRows } from './figure-groups.js';
import { ALONE_WORDS, aloneLines, DIFFERENCE_WORDS, remarksOn } from './remarks.js';
import type { RunFigure } from './run-figure.js';

/** All differences, setting by setting; what only one run has is named below. */
export function differenceTables({ compared, alone }: Comparison): Markup {
  const groups = figureGroups(summaryRows(compared));
  const ceilings = ceilingRows(compared);
  const single = aloneLines(alone);
  return html`${compared.length === 0 ? html`<p>The runs share no figure: there is nothing to subtract.</p>` : html`<p>${typeset(DIFFERENCE_WORDS)}</p>`}
${groups.map(groupTable)}${ceilings.map(ceilingTable)}${
  single.length > 0 &&
  html`<h3>${ALONE_WORDS}</h3>
<ul>${single.map((line) => html`<li>${typeset(oneLine(line, 400))}</li>`)}</ul>
`
}`;
}

const EMPTY = '\u2013';

function groupTable({ heading, rows }: FigureGroup): Markup {
  const caption = typeset(oneLine(heading, 200));
  const remarks = remarksOn(rows);
  return html`<div class="scroll" role="region" aria-label="${caption}" tabindex="0"><table class="differences">
<caption><span>${caption}</span></caption>
<thead><tr><th scope="col">Figure</th><th scope="col">Run</th><th scope="col" class="n">Found</th><th scope="col" class="n">Difference</th><th scope="col" class="n">dB</th><th scope="col">In words</th></tr></thead>
${rows.map(rowsOf)}</table></div>
${remarks.length > 0 && html`<ul class="remarks">${remarks.map((text) => html`<li>${typeset(oneLine(text, 400))}</li>`)}</ul>`}
`;
}

/** A figure with a row for each run that has it. */
function rowsOf({ figures, differences }: ComparedFigure): Markup {
  const where = whereFound(figures);
  const channel = figures[0]!.channel === 0 ? '' : `, ${channelName(figures[0]!)}`;
  return html`<tbody>
${figures.map((figure, i) => {
  const name = html`<th scope="rowgroup" rowspan="${figures.length}">${typeset(figureName(figure))}${channel}${where !== '' && html`<small>${typeset(where)}</small>`}</th>`;
  return html`<tr>${i === 0 && name}<th scope="row">run ${figure.run}</th><td class="n">${valueCell(figure)}</td>${i === 0 ? html`<td colspan="3"></td>` : changeCells(differences[i - 1]!, figure)}</tr>
`;
})}</tbody>
`;
}

const valueCell = (figure: RunFigure): Markup =>
  figure.value === null
    ? html`none`
    : html`<data value="${figure.value}">${typeset(figureWords(figure))}</data>`;

function changeCells(difference: Difference | null, figure: RunFigure): Markup {
  const words = findingWords(difference, figure.unit);
  if (difference === null)
    return html`<td class="n">${EMPTY}</td><td class="n">${EMPTY}</td><td>${words}</td>`;
  const { difference: change, difference_dB } = difference;
  return html`<td class="n"><data value="${change}">${typeset(changeWords(difference, figure))}</data></td><td class="n"><data value="${difference_dB}">${typeset(decibelWords(difference))}</data></td><td>${words}</td>`;
}

/** Every frequency of a channel: in short, and folded away in full. */
function ceilingTable(rows: readonly ComparedFigure[]): Markup {
  const short = ceilingsInShort(rows);
  const caption = `Ceilings frequency by frequency: ${short[0]!.split(':')[0]!}`;
  const cells = rows.flatMap(({ figures, differences }) =>
    figures.slice(1).map((figure, i) => {
      const difference = differences[i]!;
      return [
        typeset(`${Math.round(figures[0]!.band_Hz[0])} Hz`),
        `run ${figure.run} to run ${figures[0]!.run}`,
        valueCell(figure),
        valueCell(figures[0]!),
        difference ? typeset(`${decibelWords(difference)} dB`) : EMPTY,
        findingWords(difference, figure.unit),
      ];
    }),
  );
  const columns = [
    { name: 'Frequency' },
    { name: 'Runs' },
    { name: 'Later run', figures: true },
    { name: 'First run', figures: true },
    { name: 'Difference', figures: true },
    { name: 'In words' },
  ];
  return html`${short.map((text) => html`<p>${typeset(text)}</p>`)}
<details class="paper"><summary>${typeset(caption)}</summary>
${table(typeset(caption), columns, cells)}</details>
`;
}
