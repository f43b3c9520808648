import type { RunRecord } from '../../record/run-record.js';
import { oneLine } from '../../units/visible-text.js';
import { html, type Markup } from '../html/markup.js';
import { renderPage } from '../html/page.js';
import { PAGE_STYLE } from '../html/page-style.js';
import { REPORT_POLICY, readingAid } from '../html/reading-aid.js';
import { renderSections } from '../html/render-blocks.js';
import { typeset } from '../html/typeset.js';
import { type Comparison, compareRuns } from './comparison.js';
import { comparisonHeadline } from './comparison-headline.js';
import { cancelledSection, comparisonSections, repeatSection } from './comparison-sections.js';
import { curveSection } from './overlay.js';

const LONGEST_TITLE = 90;

/**
 * Several runs held against the first of them, as one self-contained HTML page: no network, no script but the one that
 * reads points off charts, readable without it too, on a phone, on a wide screen, on paper and in grey. The same records
 * give the same text, to the byte. Harmonics and spectra of the records are not needed.
 *
 * @param claim a claim to judge every run by besides its own; null without
 * @throws DocumentError when that is no claim
 */
export function comparisonReport(records: readonly RunRecord[], claim: string | null = null): string {
  const comparison = compareRuns(records, claim);
  const title = titleOf(comparison);
  return renderPage({
    title,
    policy: REPORT_POLICY,
    style: `${PAGE_STYLE}.lead~.lead{margin-top:8px}`,
    over: ['Power amplifiers compared', records.map(({ run }) => `run ${run}`).join(', ')],
    header: html`<h1><bdi>${title}</bdi></h1>
${comparisonHeadline(comparison).map((sentence) => html`<p class="lead">${typeset(oneLine(sentence, 600))}</p>`)}
${simulated(records)}`,
    main: renderSections([
      curveSection(comparison),
      ...comparisonSections(comparison),
      ...cancelledSection(comparison),
      repeatSection(comparison),
    ]),
    footer: 'Made with ohmest from the records of the runs. Powers are continuous and per channel.',
    script: readingAid,
  });
}

function titleOf({ runs }: Comparison): string {
  const labels = [...new Set(runs.map(({ record }) => oneLine(record.unit.label, LONGEST_TITLE)))];
  return oneLine(labels.join(' / '), 2 * LONGEST_TITLE);
}

function simulated(records: readonly RunRecord[]): Markup | false {
  const computed = records.filter(({ bench }) => bench.kind === 'simulated').map(({ run }) => `run ${run}`);
  if (computed.length === 0) return false;
  return html`<p class="simulated">Simulated bench, no real unit was measured: ${computed.join(', ')}.</p>`;
}
