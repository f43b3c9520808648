import type { RunRecord } from '../record/run-record.js';
import { headline } from './headline.js';
import { type JudgedRun, judgeRun } from './judged-run.js';
import { keyFigures } from './key-figures.js';
import { html, Markup } from './markup.js';
import { PAGE_STYLE } from './page-style.js';
import { conditions } from './sections/conditions.js';
import { flagsTable } from './sections/flags-table.js';
import { papers } from './sections/papers.js';
import { protocolSection } from './sections/protocol.js';
import { ratingsSection } from './sections/ratings.js';
import { readingsTable } from './sections/readings-table.js';
import { resultsTables } from './sections/results-tables.js';
import { uncertainty } from './sections/uncertainty.js';
import { verdictLines, verdictsSection } from './sections/verdicts.js';
import { typeset } from './typeset.js';
import { oneLine, visibleText } from './visible-text.js';
import { outcomeWords, timeWords } from './wording.js';

/** Longest label in a heading; the table of conditions has it whole. */
const LONGEST_TITLE = 90;

/**
 * One or several runs as one self-contained HTML page: no script, no network, readable on a phone, on a wide
 * screen, on paper and in grey. With several runs the charts overlay them. The same records give the same
 * text, to the byte. The charts are loaded only when a report is made, so that other commands start quickly.
 *
 * @param claim a claim to judge every run by besides its own; null without
 * @throws DocumentError when that is no claim
 */
export async function htmlReport(
  records: readonly RunRecord[],
  claim: string | null = null,
): Promise<string> {
  const { figures } = await import('./sections/figures.js');
  const several = records.length > 1;
  const runs = records.map((record) => ({ record, judged: judgeRun(record, claim) }));
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>${titleOf(records)}</title>
<style>${new Markup(PAGE_STYLE)}</style>
</head>
<body>
<header>
<p class="over"><span>Power amplifier measurement</span><span>${records.map(runWords).join('; ')}</span></p>
<h1><bdi>${titleOf(records)}</bdi></h1>
${runs.map(({ record, judged }) => opening(record, judged, several))}
</header>
<main>
${runs.map(({ record, judged }) => verdictsSection(judged, record.run, ofRun(record, several)))}
${figures(records)}
${runs.map(({ record, judged }) => sections(record, judged, several))}
</main>
<footer>Made with ohmest from the record of ${several ? 'the runs' : 'the run'}. Powers are continuous and per channel.</footer>
</body>
</html>
`;
  return page.text;
}

function titleOf(records: readonly RunRecord[]): string {
  const labels = [...new Set(records.map((record) => oneLine(record.unit.label, LONGEST_TITLE)))];
  return labels.length > 0 ? oneLine(labels.join(' / '), 2 * LONGEST_TITLE) : 'No run';
}

const runWords = ({ run, started }: RunRecord): string => `Run ${run}, ${timeWords(visibleText(started))}`;

/** What a reader must know first: that the run did not reach its end, the verdicts, then what was found. */
function opening(record: RunRecord, judged: JudgedRun, several: boolean): Markup {
  return html`${record.outcome !== 'completed' && html`<p class="outcome" role="note">${nameOf(record, several)}${visibleText(outcomeWords(record))}</p>`}
${verdictLines(judged, record, nameOf(record, several))}<p class="lead">${several && html`<b>Run ${record.run}, <bdi>${oneLine(record.unit.label, LONGEST_TITLE)}</bdi>.</b> `}${typeset(headline(record))}</p>
${record.bench.kind === 'simulated' && html`<p class="simulated">${nameOf(record, several)}Simulated bench: no real unit was measured.</p>`}
${keyFigures(record)}
`;
}

const nameOf = (record: RunRecord, several: boolean): string => (several ? `Run ${record.run}: ` : '');

const ofRun = ({ run }: RunRecord, several: boolean): string => (several ? ` of run ${run}` : '');

function sections(record: RunRecord, judged: JudgedRun, several: boolean): Markup {
  const of = ofRun(record, several);
  return html`${ratingsSection(judged, record.run, of)}<section aria-labelledby="results-${record.run}"><h2 id="results-${record.run}">Results${of}</h2>
${resultsTables(record)}${flagsTable(record)}</section>
${protocolSection(judged, record.run, of)}<section class="conditions" aria-labelledby="conditions-${record.run}"><h2 id="conditions-${record.run}">Conditions${of}</h2>
${conditions(record)}</section>
<section aria-labelledby="uncertainty-${record.run}"><h2 id="uncertainty-${record.run}">Uncertainty${of}</h2>
${uncertainty(record)}</section>
<section aria-labelledby="papers-${record.run}"><h2 id="papers-${record.run}">Readings and papers${of}</h2>
${readingsTable(record)}${papers(record)}</section>
`;
}
