import { DECISION_RULE, type VerdictClass } from '../../judgement/bounds/guard-band.js';
import { claimWords } from '../../judgement/claim/claim-words.js';
import type { JudgedClaim, JudgedRun } from '../../judgement/judged-run.js';
import type { Block, CellParts, Section } from './block.js';
import { capital } from './capital.js';
import { pairs, section, text } from './make-blocks.js';
import { verdictRows } from './verdict-rows.js';

const STATES: Readonly<Record<VerdictClass, NonNullable<CellParts['state']>>> = {
  met: 'good',
  'not met': 'bad',
  inconclusive: 'open',
  'not tested': 'open',
};

/** What each verdict rests on; nothing without a claim. */
export function verdictSection({ claims }: JudgedRun): Section[] {
  if (claims.length === 0) return [];
  return [
    section('verdicts', 'Claims and verdicts', [
      ...claims.map(verdictTable),
      text(`${DECISION_RULE}.`, 'small'),
    ]),
  ];
}

function verdictTable(claim: JudgedClaim): Block {
  const { verdict, text: words } = claim;
  // Only what is our own wording: a caption names its table for those who do not see it.
  return pairs(`Claim: ${claimWords({ ...verdict.claim, standard: null })}`, [
    ['Claim', { text: words, given: true }],
    ['Verdict', { text: capital(verdict.verdict), state: STATES[verdict.verdict] }],
    ...verdictRows(claim).map(([name, lines]) => [name, lines.map(capital).join('\n')]),
  ]);
}
