import { groupBy } from '../units/group-by.js';
import type { Finding } from './finding.js';
import { numberOf, type StoredFinding } from './finding.js';
import { isKnownFinding } from './findings-of.js';
import type { BandResult, CauseResult, HoldResult, KneeResult, Result, SumResult } from './old-results.js';
import type { Reason, Remark } from './reasons.js';

/** The words of a reason or a remark. */
export type NoteWords = (code: Reason | Remark) => string;

/**
 * Findings in the seven shapes that `show --json` has printed since version 0.1 under `results`. What had no place there (what
 * a silent step found, intervals in which a limit is exceeded) is left out: it stands under `findings`.
 */
export function resultsOfFindings(findings: readonly Finding[], words: NoteWords): Result[] {
  const byPlace = groupBy(findings, placeOf);
  return findings.flatMap((finding) => resultOf(finding, byPlace.get(placeOf(finding))!, words) ?? []);
}

/** The same for those who cannot read codes in words of their own. */
export const resultsInCodes = (findings: readonly StoredFinding[]): Result[] =>
  resultsOfFindings(findings.filter(isKnownFinding), (note) =>
    note.code === 'in-words' ? note.text : note.code,
  );

/** Findings of one channel in one step make one result between them. */
const placeOf = ({ setting: { step, channel } }: Finding): string => JSON.stringify([step, channel]);

/** The result that a finding leads; null for one that follows another or had no place. */
function resultOf(finding: Finding, place: readonly Finding[], words: NoteWords): Result | null {
  const { quantity, statistic, terms } = finding;
  switch (quantity) {
    case 'max-power':
      return terms.over_Hz ? null : powerResult(finding, words);
    case 'knee-power':
      return kneeResult(finding, place, words);
    case 'total-power':
      return sumResult(finding, words);
    case 'power':
      if (statistic === 'minimum' && terms.over_Hz) return bandResult(finding, place);
      return statistic === 'first' ? holdResult(finding, place, words) : null;
    case 'cause':
      return causeResult(finding);
    default:
      return null;
  }
}

/** @returns what stands behind a figure, or why there is none; empty when there is nothing to add */
const noteOf = ({ why, remarks }: Finding, words: NoteWords): string =>
  [...(why ? [why] : []), ...remarks].map(words).join('; ');

function baseOf({ setting: { step, channel, driven, load_ohm }, budgets }: Finding) {
  return { step, channel: channel ?? 0, driven, load_ohm, ...(budgets.length > 0 ? { budgets } : {}) };
}

const toneOf = ({ stimulus: { lines_Hz, nominal_Hz } }: Finding): number =>
  lines_Hz[0] ?? nominal_Hz ?? Number.NaN;

function powerResult(finding: Finding, words: NoteWords): Result {
  const { setting, stimulus, terms, uncertainty, flags } = finding;
  const figures = {
    ...baseOf(finding),
    frequency_Hz: toneOf(finding),
    threshold_percent: terms.threshold_percent ?? Number.NaN,
    // The shapes of 0.1 have no word for a bound: a power that was only ended at is none there.
    power_W: finding.bound === 'found' ? numberOf(finding) : null,
    uncertainty_W: uncertainty,
    bracket_dB: terms.bracket_dB ?? null,
    note: noteOf(finding, words),
  };
  if (setting.step_kind !== 'max-power') return { kind: 'power-at-thdn', ...figures };
  const nominal_Hz = stimulus.nominal_Hz ?? figures.frequency_Hz;
  return { kind: 'ceiling', ...figures, nominal_Hz, captures: terms.captures ?? 0, flags };
}

function kneeResult(finding: Finding, place: readonly Finding[], words: NoteWords): KneeResult {
  const beside = (quantity: Finding['quantity']) =>
    place.find((one) => one.quantity === quantity && toneOf(one) === toneOf(finding));
  const [plateau, interval] = [beside('plateau-thdn'), beside('clipping-interval')];
  return {
    kind: 'knee',
    ...baseOf(finding),
    frequency_Hz: toneOf(finding),
    power_W: numberOf(finding),
    uncertainty_W: finding.uncertainty,
    plateau_percent: plateau ? numberOf(plateau) : null,
    governed_by: plateau?.terms.governed_by ?? null,
    hardness_dB: interval ? numberOf(interval) : null,
    note: noteOf(finding, words),
  };
}

function bandResult(finding: Finding, place: readonly Finding[]): BandResult | null {
  const [low_Hz, high_Hz] = finding.terms.over_Hz!;
  const most = place.find(
    ({ quantity, statistic, terms }) => quantity === 'thdn' && statistic === 'maximum' && terms.over_Hz,
  );
  if (!most) return null;
  const budgets = [...finding.budgets, ...most.budgets];
  return {
    kind: 'band',
    ...baseOf({ ...finding, budgets }),
    low_Hz,
    high_Hz,
    least_power_W: numberOf(finding)!,
    least_power_Hz: toneOf(finding),
    least_power_uncertainty_W: finding.uncertainty,
    most_thdn_uncertainty_percent: most.uncertainty,
    most_thdn_percent: numberOf(most)!,
    most_thdn_Hz: toneOf(most),
    flags: finding.flags,
  };
}

function holdResult(finding: Finding, place: readonly Finding[], words: NoteWords): HoldResult {
  const figure = (quantity: Finding['quantity'], statistic: Finding['statistic']) => {
    const found = place.find((one) => one.quantity === quantity && one.statistic === statistic);
    return (found && numberOf(found)) ?? Number.NaN;
  };
  return {
    kind: 'hold',
    ...baseOf(finding),
    frequency_Hz: toneOf(finding),
    seconds: finding.terms.seconds ?? Number.NaN,
    first_W: figure('power', 'first'),
    last_W: figure('power', 'last'),
    least_W: figure('power', 'minimum'),
    dip_dB: figure('dip', 'maximum'),
    most_thdn_percent: figure('thdn', 'maximum'),
    most_dc_V: figure('dc', 'maximum'),
    note: noteOf(finding, words),
  };
}

function sumResult(finding: Finding, words: NoteWords): SumResult {
  return {
    kind: 'sum',
    ...baseOf(finding),
    channel: 0,
    threshold_percent: finding.terms.threshold_percent ?? Number.NaN,
    frequency_Hz: toneOf(finding),
    power_W: numberOf(finding),
    uncertainty_W: finding.uncertainty,
    first_channel: finding.terms.deciding_channel ?? null,
    note: noteOf(finding, words),
  };
}

function causeResult(finding: Finding): CauseResult {
  const frequency_Hz = toneOf(finding);
  return {
    kind: 'cause',
    ...baseOf(finding),
    nominal_Hz: finding.stimulus.nominal_Hz ?? frequency_Hz,
    frequency_Hz,
    causes: finding.value as CauseResult['causes'],
  };
}
