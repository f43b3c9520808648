import { claimWords } from '../../../judgement/claim-words.js';
import { DECISION_RULE } from '../../../judgement/guard-band.js';
import type { JudgedClaim, JudgedRun } from '../../../judgement/judged-run.js';
import type { RunRecord } from '../../../record/run-record.js';
import { capital } from '../../model/capital.js';
import { verdictRows } from '../../model/verdict-rows.js';
import { oneLine, visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { table } from './table.js';

/** Longest claim in a sentence of the page's head. */
const LONGEST_CLAIM = 160;

/** The verdicts in a sentence each, for the head of the page. */
export function verdictLines(judged: JudgedRun, record: RunRecord): Markup {
  return html`${judged.claims.map(
    ({ text, verdict, stored }) =>
      html`<p class="verdict"><strong>${typeset(visibleText(verdict.reason))}</strong>
<span>Claim${stored ? '' : ', not stored with the run'}: <bdi>${typeset(oneLine(text, LONGEST_CLAIM))}</bdi></span></p>
`,
  )}${judged.unreadable !== null && html`<p class="verdict">The claim of the run cannot be read: <bdi>${oneLine(record.claim ?? '', LONGEST_CLAIM)}</bdi></p>`}`;
}

/** What each verdict rests on; nothing without a claim. */
export function verdictsSection({ claims }: JudgedRun): Markup {
  if (claims.length === 0) return html``;
  return html`<section class="conditions" aria-labelledby="verdicts"><h2 id="verdicts">Claims and verdicts</h2>
${claims.map(verdictTable)}<p>${DECISION_RULE}.</p></section>
`;
}

function verdictTable(claim: JudgedClaim): Markup {
  const { verdict, text } = claim;
  return table(
    // Only what is our own wording: a caption names its table for those who do not see it.
    `Claim: ${typeset(claimWords({ ...verdict.claim, standard: null }))}`,
    [{ name: 'What' }, { name: 'Value' }],
    [
      ['Claim', html`<bdi>${typeset(visibleText(text))}</bdi>`],
      ['Verdict', html`<strong>${capital(verdict.verdict)}</strong>`],
      ...verdictRows(claim).map(([name, lines]): [string, Markup] => [name, lineList(lines)]),
    ],
  );
}

const lineList = (lines: readonly string[]): Markup =>
  html`${lines.map((line, i) => html`${i > 0 && html`<br>`}${typeset(visibleText(capital(line)))}`)}`;
