import { DECISION_RULE, type VerdictClass } from '../../judgement/bounds/guard-band.js';
import { claimWords, given } from '../../judgement/claim/claim-words.js';
import type { JudgedClaim, JudgedRun } from '../../judgement/judged-run.js';
import { powerWithin } from '../../judgement/power-words.js';
import { worked } from '../../judgement/restate/restate-load.js';
import type { RestatingStep } from '../../judgement/restate/restating-step.js';
import { stepCondition, stepKindWords } from '../../judgement/restate/restating-words.js';
import type { DecidingPoint, Verdict } from '../../judgement/verdict/verdict.js';
import { formatQuantity } from '../../units/format.js';
import type { Block, CellParts, Section } from './block.js';
import { BOUNDS } from './finding-words.js';
import { pairs, section, text } from './make-blocks.js';
import { capital, drivenWords, factorWords } from './wording.js';

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

/** What stands behind a verdict: a name, and one sentence or several. */
type VerdictRow = readonly [name: string, lines: readonly string[]];

/** Everything that a verdict rests on, the most telling first; rows that have nothing to say are left out. */
function verdictRows({ verdict, left_open, stored }: JudgedClaim): VerdictRow[] {
  const { deciding } = verdict;
  const rows: VerdictRow[] = [
    ['Margin', marginWords(verdict)],
    // A claim that was not tested is decided by nothing.
    [verdict.verdict === 'not tested' ? 'Measured' : 'Decided by', deciding ? [decidingWords(deciding)] : []],
    ['Uncertainty', deciding ? [uncertaintyWords(verdict, deciding)] : []],
    ['Restated', verdict.restated.map(stepWords)],
    ['As restated', restatedWords(verdict)],
    ['Assumed', verdict.taken],
    ['Not tested', verdict.not_tested],
    ['Left open', left_open.length === 0 ? [] : [left_open.join('; ')]],
    ['Origin', stored ? [] : ['claim supplied after the run']],
  ];
  return rows.filter(([, lines]) => lines.length > 0);
}

const signed = (value: number, text: string): string => (value < 0 ? text : `+${text}`);

function marginWords(verdict: Verdict): string[] {
  const { margin_W, margin_dB, required_W, conformance, deciding } = verdict;
  if (margin_W === null || margin_dB === null || required_W === null) return [];
  // The figure of a power that was only bounded is a bound of the margin as well.
  const bound = BOUNDS[deciding?.bound ?? 'found'];
  const watts = signed(margin_W, formatQuantity(margin_W, 'W', { figures: 3 }));
  const decibels = signed(margin_dB, formatQuantity(margin_dB, 'dB', { figures: 3 }));
  const margin = `${bound}${watts} (${decibels}) to the ${worked(required_W, 'W')} required`;
  return conformance === null || !asStated(verdict)
    ? [margin]
    : [`${margin}; probability that the power reaches it ${share(conformance)}`];
}

/** Whether the figures were held against the claim as it stands, so that their probability is that of the claim. */
const asStated = ({ verdict, as_restated }: Verdict): boolean =>
  verdict !== 'not tested' && (as_restated === null || as_restated === verdict);

/** A probability in percent, without a false 0 or 100. */
function share(probability: number): string {
  if (probability > 0.999) return 'above 99.9 %';
  return probability < 0.001 ? 'below 0.1 %' : formatQuantity(100 * probability, '%', { figures: 3 });
}

function decidingWords(point: DecidingPoint): string {
  const { bound, power_W, uncertainty_W, inferred, points } = point;
  const limit = `${given(point.limit_percent, '%')} ${point.measure}`;
  const figure = `${BOUNDS[bound]}${powerWithin(power_W, uncertainty_W)}`;
  const setting = `${given(point.load_ohm, 'ohm')}, ${drivenWords(point.driven)}`;
  const from =
    points.length === 0 ? '' : `, ${points.length === 1 ? 'point' : 'points'} ${points.join(', ')}`;
  const how = inferred === '' ? '' : `; ${inferred}`;
  return `${figure} at ${limit}, ${worked(point.frequency_Hz, 'Hz')}, channel ${point.channel}, ${setting}${from}${how}`;
}

function uncertaintyWords({ budget }: Verdict, { uncertainty_W, power_W }: DecidingPoint): string {
  if (uncertainty_W === null) return 'none is stated, so this cannot be decided';
  const percent = formatQuantity((100 * uncertainty_W) / power_W, '%', { figures: 2 });
  return budget === null
    ? `U = ${percent}, that of the reading`
    : `U = ${percent}, ${factorWords([budget.coverage_factor])}; its budget is among those of the results`;
}

/** `same voltage into 8 ohm: a lower bound; ... = 150 W; if a lighter load never costs voltage`. */
function stepWords(step: RestatingStep): string {
  const sum = step.arithmetic === '' ? '' : `; ${step.arithmetic}`;
  return `${step.what}: ${stepKindWords(step)}${sum}; ${stepCondition(step)}`;
}

function restatedWords({ as_restated, verdict }: Verdict): string[] {
  if (as_restated === null || as_restated === verdict) return [];
  return [
    `the figures by themselves compare as ${as_restated}, which decides nothing about the claim as stated`,
  ];
}
