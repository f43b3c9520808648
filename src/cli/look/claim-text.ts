import { capital } from '../../document/model/wording.js';
import { textTable } from '../../document/text/text-table.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { type Claim, type ClaimTerms, sharedBy } from '../../judgement/claim/claim.js';
import { claimFigures } from '../../judgement/claim/claim-figures.js';
import { bandWords, claimWords, drivenCount, given } from '../../judgement/claim/claim-words.js';
import type { ClaimComparison } from '../../judgement/restate/compare-claims.js';
import { worked } from '../../judgement/restate/restate-load.js';
import type { RestatingStep } from '../../judgement/restate/restating-step.js';
import { CHAIN_WORDS, stepCondition, stepKindWords } from '../../judgement/restate/restating-words.js';
import { oneLine } from '../../units/visible-text.js';
import type { PublishedClaim } from '../run/given-claims.js';

/** A claim with all that can be said of it without a measurement. */
export interface ClaimStudy extends PublishedClaim {
  /** `A`, `B` ... by which text and table refer to it. */
  readonly name: string;
  readonly missing: readonly string[];
  /** One by one on the way to the terms asked for; null when none were. */
  readonly steps: readonly RestatingStep[] | null;
}

/** A claim beside another, by name. */
export interface NamedComparison extends ClaimComparison {
  readonly first: string;
  readonly second: string;
}

/** Claims for a terminal: one with its arithmetic, several side by side with what can be compared. */
export function claimsText(
  studies: readonly ClaimStudy[],
  comparisons: readonly NamedComparison[],
  terms: ClaimTerms | null,
  width: number,
): string {
  const several = studies.length > 1;
  return [
    ...(several ? [sideBySide(studies, width)] : []),
    ...studies.map((study) => studyText(study, several, terms, width)),
    ...(several ? [comparisonText(comparisons, width)] : []),
  ].join('\n\n');
}

function sideBySide(studies: readonly ClaimStudy[], width: number): string {
  const rows = studies.map(({ name, claim }) => [
    name,
    given(claim.power_W, 'W'),
    claim.load_ohm === null ? '–' : given(claim.load_ohm, 'ohm'),
    claim.distortion_percent === null
      ? '–'
      : `${given(claim.distortion_percent, '%')} ${claim.distortion ?? ''}`.trim(),
    claim.frequency_Hz === null ? '–' : bandWords(claim.frequency_Hz),
    claim.driven === null ? '–' : drivenCount(claim.driven).replace(' driven', ''),
    claim.kind ?? '–',
  ]);
  const head = ['', 'power', 'load', 'distortion', 'frequency', 'driven', 'kind'];
  return `${textTable(head, rows, [1], width)}\n– is not stated.`;
}

function studyText(study: ClaimStudy, named: boolean, terms: ClaimTerms | null, width: number): string {
  const { name, unit, source, claim, missing, steps } = study;
  const title = [...(unit === null ? [] : [`${oneLine(unit, 60)}:`]), claimWords(claim)].join(' ');
  const { level_dBW, voltage_V, voltage_Vpk, current_A, current_Apk } = claimFigures(claim);
  const figures =
    voltage_V === null
      ? `${worked(level_dBW, 'dB')}W`
      : `${worked(voltage_V, 'V')} rms, ${worked(voltage_Vpk!, 'V')} peak, ${worked(current_A!, 'A')} rms, ${worked(current_Apk!, 'A')} peak, ${worked(level_dBW, 'dB')}W`;
  const lines = [
    wrapText(named ? `${name}  ${title}` : title, width, named ? '   ' : ''),
    wrapText(`   ${figures}${figuresNote(claim)}`, width, '   '),
    ...(source === null ? [] : [wrapText(`   published: ${oneLine(source, 300)}`, width, '   ')]),
    ...(missing.length > 0
      ? ['   Left open', ...missing.map((text) => `   - ${wrapText(text, width - 5, '     ')}`)]
      : []),
    ...(steps === null || terms === null ? [] : restatedLines(steps, terms, width)),
  ];
  return lines.join('\n');
}

/** What the figures beside a claim rest on, where that is not plain. */
function figuresNote(claim: Claim): string {
  const notes = [
    ...(claim.kind === 'peak' ? ['were it the mean power of a sine'] : []),
    ...(claim.per === 'total' && claim.load_ohm !== null
      ? [sharedBy(claim) === null ? 'how many loads share it is not stated' : 'volts and amps at each load']
      : []),
  ];
  return notes.length === 0 ? '' : ` (${notes.join('; ')})`;
}

function restatedLines(steps: readonly RestatingStep[], terms: ClaimTerms, width: number): string[] {
  const heading = `   As ${claimWords(terms)}`;
  if (steps.length === 0) return [`${heading}: already on these terms`];
  return [
    heading,
    ...steps.flatMap((step, i) => [
      wrapText(`   ${i + 1}. ${capital(step.what)}: ${stepKindWords(step)}`, width, '      '),
      ...(step.arithmetic === '' ? [] : [wrapText(`      ${step.arithmetic}`, width, '      ')]),
      wrapText(`      ${stepCondition(step)}`, width, '      '),
    ]),
  ];
}

function comparisonText(comparisons: readonly NamedComparison[], width: number): string {
  const lines = comparisons.map((comparison) => {
    const { first, second, state, reasons } = comparison;
    const pair = `${first} and ${second}`;
    const text =
      state === 'not-comparable'
        ? `${pair}: not comparable: ${reasons.join('; ')}`
        : `${pair}: ${differenceWords(comparison)}${reasons.length > 0 ? ` (${reasons.join('; ')})` : ''}`;
    return `   ${wrapText(text, width - 3, '     ')}`;
  });
  return ['Side by side', ...lines].join('\n');
}

function differenceWords({ second, state, difference_dB, range_dB, kind }: NamedComparison): string {
  const by = (dB: number) => `${dB >= 0 ? '+' : ''}${worked(dB, 'dB')}`;
  const within = range_dB === null ? '' : `, between ${by(range_dB[0])} and ${by(range_dB[1])}`;
  const how = state === 'as-stated' ? 'as stated' : `restated, ${CHAIN_WORDS[kind]}`;
  return `${second} is ${by(difference_dB!)}${within}, ${how}`;
}
