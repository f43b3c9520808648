import { html, type Markup } from '../../document/html/markup.js';
import { typeset } from '../../document/html/typeset.js';
import { timeWords } from '../../document/model/wording.js';
import type { RunSearch, RunSummary } from '../../record/run-list.js';
import { oneLine } from '../../units/visible-text.js';
import { type AskedList, OUTCOMES_OFFERED } from './asked.js';
import type { Shelf } from './shelf.js';

/** Runs on one page of the list. */
export const RUNS_A_PAGE = 40;
/** A select with more names than this is a field to type in, with the names offered. */
const MOST_NAMES = 300;
const LONGEST_NAME = 60;
const LONGEST_SENTENCE = 200;

/** The list of runs: what to look for, the runs with what each shows, and what to do with those that are ticked. */
export async function runsPage(shelf: Shelf, base: string, { search, page }: AskedList): Promise<Markup> {
  const offset = (page - 1) * RUNS_A_PAGE;
  const { total, runs } = await shelf.search(search, { limit: RUNS_A_PAGE, offset });
  const replaced = shelf.replaced();
  const searched = Object.keys(search).length > 0;
  const note = replaced !== null && replacedNote(shelf.name, replaced);
  if (total === 0 && !searched) return html`${note}${emptyShelf(shelf.name)}`;
  return html`${note}${await searchForm(shelf, base, search)}
${runs.length === 0 ? nothingHere(base, total, search) : await listed(shelf, base, runs)}
${pages(base, search, page, total)}`;
}

/** Numbers of runs may mean others than before. */
const replacedNote = (name: string, at: Date): Markup =>
  html`<p class="outcome" role="status">Another database was put in the place of <bdi>${oneLine(name, LONGEST_NAME)}</bdi> while it was being looked at (noticed at ${timeWords(at.toISOString())}). These are the runs of the one that is there now.</p>
`;

const emptyShelf = (name: string): Markup => html`<section class="note">
<h2>No run is here yet</h2>
<p>The database <code>${oneLine(name, LONGEST_NAME)}</code> holds no run. Record one, then load this page again:</p>
<pre tabindex="0">ohmest run rated-power --bench ideal-40 --unit "first try"</pre>
<p><code>ohmest demo</code> shows the whole job on a simulated bench.</p>
</section>`;

function nothingHere(base: string, total: number, search: RunSearch): Markup {
  const first = `${base}/?${queryOf(search)}`;
  return total === 0
    ? html`<p class="note" role="status">No run matches. <a href="${base}/">Show all runs</a></p>`
    : html`<p class="note" role="status">There is nothing on this page: ${total} ${total === 1 ? 'run matches' : 'runs match'}. <a href="${first}">To the first page</a></p>`;
}

async function searchForm(shelf: Shelf, base: string, search: RunSearch): Promise<Markup> {
  const { units, sequences, benches } = await shelf.names();
  return html`<form class="search" method="get" action="${base}/" role="search" aria-label="Runs">
${choice('unit', 'Unit', units, search.unit)}
${choice('sequence', 'Sequence', sequences, search.sequence)}
${choice('bench', 'Bench', benches, search.bench)}
${choice('outcome', 'Outcome', OUTCOMES_OFFERED, search.outcome)}
<label>From<input type="date" name="from" value="${search.from ?? ''}"></label>
<label>To<input type="date" name="to" value="${search.to ?? ''}"></label>
<label>Words<input type="search" name="text" maxlength="200" value="${search.text ?? ''}"></label>
<div class="do"><button>Find</button> <a href="${base}/">All runs</a></div>
</form>`;
}

function choice(name: string, label: string, names: readonly string[], chosen: string | undefined): Markup {
  if (names.length > MOST_NAMES)
    return html`<label>${label}<input name="${name}" list="${name}-names" value="${chosen ?? ''}"></label>
<datalist id="${name}-names">${names.map((one) => html`<option value="${one}"></option>`)}</datalist>`;
  const all = chosen === undefined || names.includes(chosen) ? names : [chosen, ...names];
  return html`<label>${label}<select name="${name}"><option value="">any</option>${all.map(
    (one) =>
      html`<option value="${one}"${one === chosen && html` selected`}>${oneLine(one, LONGEST_NAME)}</option>`,
  )}</select></label>`;
}

async function listed(shelf: Shelf, base: string, runs: readonly RunSummary[]): Promise<Markup> {
  const rows: Markup[] = [];
  for (const run of runs) rows.push(row(run, await shelf.headline(run), base));
  return html`<form method="get" action="${base}/compare">
<div class="scroll" role="region" aria-label="Runs" tabindex="0"><table class="runs">
<caption><span>Runs, newest first</span></caption>
<thead><tr><th scope="col">Compare</th><th scope="col" class="n">Run</th><th scope="col">Unit</th><th scope="col">Result</th><th scope="col">Sequence and bench</th><th scope="col">Started (UTC)</th><th scope="col">Outcome</th><th scope="col" class="n">Points</th></tr></thead>
<tbody>
${rows}
</tbody></table></div>
<p class="do"><button>Compare the ticked runs</button></p>
</form>`;
}

function row(run: RunSummary, headline: readonly string[], base: string): Markup {
  const unit = oneLine(run.unit, LONGEST_NAME);
  return html`<tr>
<td><label class="tick"><input type="checkbox" name="run" value="${run.run}" aria-label="Compare run ${run.run}, ${unit}"></label></td>
<td class="n number"><a href="${base}/run/${run.run}">${run.run}</a></td>
<th scope="row"><a href="${base}/run/${run.run}"><bdi>${unit}</bdi></a>${run.imported_from !== null && html`<small>imported, run ${run.imported_from} there</small>`}</th>
<td class="found">${headline.map((sentence) => html`<p>${typeset(oneLine(sentence, LONGEST_SENTENCE))}</p>`)}</td>
<td><bdi>${oneLine(run.sequence, LONGEST_NAME)}</bdi><small><bdi>${oneLine(run.bench, LONGEST_NAME)}</bdi>${run.bench_kind === 'simulated' && ', simulated'}</small></td>
<td class="when"><time datetime="${run.started}">${run.started.slice(0, 16).replace('T', ' ')}</time></td>
<td class="how">${run.outcome === 'running' ? html`<b>running</b>` : html`<span>${run.outcome}</span>`}${run.outcome !== 'completed' && run.reason !== '' && html`<small>${oneLine(run.reason, 120)}</small>`}</td>
<td class="n points">${run.points}</td>
</tr>
`;
}

function pages(base: string, search: RunSearch, page: number, total: number): Markup {
  const last = Math.max(1, Math.ceil(total / RUNS_A_PAGE));
  const link = (to: number, words: string) =>
    to < 1 || to > last
      ? html`<span aria-disabled="true">${words}</span>`
      : html`<a href="${base}/?${queryOf(search, to)}">${words}</a>`;
  return html`<nav class="pages" aria-label="Pages"><span>${total} ${total === 1 ? 'run' : 'runs'}, page ${Math.min(page, last)} of ${last}</span>
${link(page - 1, 'Newer')} ${link(page + 1, 'Older')}</nav>`;
}

function queryOf(search: RunSearch, page = 1): string {
  const query = new URLSearchParams(Object.entries(search) as [string, string][]);
  if (page > 1) query.set('page', String(page));
  return query.toString();
}
