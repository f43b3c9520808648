import type { RunRecord } from '../../record/run-record.js';
import { figure } from '../chart/figure.js';
import { html, Markup } from '../html/markup.js';
import { PAGE_STYLE } from '../html/page-style.js';
import { REPORT_POLICY, readingAid } from '../html/reading-aid.js';
import { typeset } from '../html/typeset.js';
import type { Chart } from '../model/block.js';
import { oneLine } from '../text/visible-text.js';
import { type Comparison, compareRuns } from './comparison.js';
import { comparisonHeadline } from './comparison-headline.js';
import {
  agreementSection,
  cancelledSection,
  repeatSection,
  runsTable,
  verdictsBeside,
} from './comparison-sections.js';
import { COMPARISON_STYLE } from './comparison-style.js';
import { differenceTables } from './difference-tables.js';

const LONGEST_TITLE = 90;

/**
 * Several runs held against the first of them, as one self-contained HTML page: no network, no script but the one that
 * reads points off charts, readable without it too, on a phone, on a wide screen, on paper and in grey. The same records give the same text, to the byte. Harmonics and
 * spectra of the records are not needed.
 *
 * @param claim a claim to judge every run by besides its own; null without
 * @throws DocumentError when that is no claim
 */
export async function comparisonReport(
  records: readonly RunRecord[],
  claim: string | null = null,
): Promise<string> {
  const { overlays } = await import('./overlay.js');
  const comparison = compareRuns(records, claim);
  const { runs } = comparison;
  const title = titleOf(comparison);
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="${new Markup(REPORT_POLICY)}">
<title>${title}</title>
<style>${new Markup(PAGE_STYLE)}${new Markup(COMPARISON_STYLE)}</style>
</head>
<body>
<header>
<p class="over"><span>Power amplifiers compared</span><span>${runs.map(({ record }) => `run ${record.run}`).join(', ')}</span></p>
<h1><bdi>${title}</bdi></h1>
${comparisonHeadline(comparison).map((sentence) => html`<p class="lead">${typeset(oneLine(sentence, 600))}</p>`)}
${simulated(records)}
</header>
<main>
<section aria-labelledby="runs"><h2 id="runs">Runs</h2>
${runsTable(runs)}</section>
${agreementSection(comparison.agreement)}
${verdictsBeside(runs)}
<section aria-labelledby="curves"><h2 id="curves">Curves over each other</h2>
${curves(overlays(runs))}</section>
<section aria-labelledby="differences"><h2 id="differences">Differences</h2>
${differenceTables(comparison)}</section>
${cancelledSection(comparison)}
${repeatSection(runs)}
</main>
<footer>Made with ohmest from the records of the runs. Powers are continuous and per channel.</footer>
${readingAid}
</body>
</html>
`;
  return page.text;
}

const curves = (charts: readonly Chart[]): Markup =>
  charts.length === 0
    ? html`<p>No two runs have a curve of the same kind: there is nothing to lay over each other.</p>`
    : html`<div class="figures">${charts.map(figure)}</div>`;

function titleOf({ runs }: Comparison): string {
  const labels = [...new Set(runs.map(({ record }) => oneLine(record.unit.label, LONGEST_TITLE)))];
  return oneLine(labels.join(' / '), 2 * LONGEST_TITLE);
}

function simulated(records: readonly RunRecord[]): Markup | false {
  const computed = records.filter(({ bench }) => bench.kind === 'simulated').map(({ run }) => `run ${run}`);
  if (computed.length === 0) return false;
  return html`<p class="simulated">Simulated bench, no real unit was measured: ${computed.join(', ')}.</p>`;
}
