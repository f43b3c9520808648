import { type JudgedRun, judgeRun } from '../../judgement/judged-run.js';
import type { RunRecord } from '../../record/run-record.js';
import type { FloorAt } from '../model/figure-ground.js';
import { headline } from '../model/headline.js';
import { openingSentence } from '../model/opening-sentence.js';
import { outcomeWords, timeWords } from '../model/wording.js';
import { oneLine, visibleText } from '../text/visible-text.js';
import { keyFigures } from './key-figures.js';
import { html, Markup } from './markup.js';
import { PAGE_STYLE } from './page-style.js';
import { REPORT_POLICY, readingAid } from './reading-aid.js';
import { conditions } from './sections/conditions.js';
import { figures } from './sections/figures.js';
import { flagsTable } from './sections/flags-table.js';
import { papers } from './sections/papers.js';
import { protocolSection } from './sections/protocol.js';
import { ratingsSection } from './sections/ratings.js';
import { readingsTable } from './sections/readings-table.js';
import { resultsTables } from './sections/results-tables.js';
import { uncertainty } from './sections/uncertainty.js';
import { verdictLines, verdictsSection } from './sections/verdicts.js';
import { typeset } from './typeset.js';

/** Longest label in a heading; the table of conditions has it whole. */
const LONGEST_TITLE = 90;

/**
 * A run as one self-contained HTML page: no network, no script but the one that reads points off charts, readable
 * without it too, on a phone, on a wide screen, on paper and in grey. The same record gives the same text, to the byte.
 *
 * @param claim a claim to judge the run by besides its own; null without
 * @param floorAt what the bench reads of itself where a reading was taken, which a record alone does not tell
 * @throws DocumentError when `claim` is none
 */
export function htmlReport(
  record: RunRecord,
  claim: string | null = null,
  floorAt: FloorAt = () => null,
): string {
  const judged = judgeRun(record, claim);
  const title = oneLine(record.unit.label, LONGEST_TITLE);
  const page = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="${new Markup(REPORT_POLICY)}">
<title>${title}</title>
<style>${new Markup(PAGE_STYLE)}</style>
</head>
<body>
<header>
<p class="over"><span>Power amplifier measurement</span><span>Run ${record.run}, ${timeWords(visibleText(record.started))}</span></p>
<h1><bdi>${title}</bdi></h1>
${opening(record, judged)}
</header>
<main>
${figures({ record, judged, floorAt })}
${sections(record, judged)}
</main>
<footer>Made with ohmest ${visibleText(record.version)} from the record of the run. Powers are continuous and per channel.</footer>
${readingAid}
</body>
</html>
`;
  return page.text;
}

/** What a reader must know first: that the run did not reach its end, the rating and the verdict, then what was found. */
function opening(record: RunRecord, judged: JudgedRun): Markup {
  const first = openingSentence(record, judged);
  const found = headline(record);
  return html`${record.outcome !== 'completed' && html`<p class="outcome" role="note">${visibleText(outcomeWords(record))}</p>`}
<p class="lead">${typeset(first)}</p>
${record.bench.kind === 'simulated' && html`<p class="simulated">Simulated bench: no real unit was measured.</p>`}
${keyFigures(record)}
${first !== found && html`<p class="found">${typeset(found)}</p>`}
${verdictLines(judged, record)}`;
}

function sections(record: RunRecord, judged: JudgedRun): Markup {
  const section = (id: string, name: string, content: Markup) =>
    html`<section aria-labelledby="${id}"><h2 id="${id}">${name}</h2>
${content}</section>
`;
  return html`${verdictsSection(judged)}${ratingsSection(judged)}${section('results', 'Results', html`${resultsTables(record)}${flagsTable(record)}`)}
${protocolSection(judged)}${section('uncertainty', 'Uncertainty', uncertainty(record))}
<section class="conditions" aria-labelledby="conditions"><h2 id="conditions">Conditions</h2>
${conditions(record)}</section>
${section('papers', 'Readings, and what is needed to repeat the run', html`${readingsTable(record)}${papers(record)}`)}`;
}
