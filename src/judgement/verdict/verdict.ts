import type { Budget } from '../../measure/budget.js';
import type { RunRecord } from '../../record/run-record.js';
import { decibelsOfPower } from '../../units/decibel.js';
import { atMains, isNear, type MainsPart } from '../at-mains.js';
import { type Evidence, evidenceOf, isFound } from '../bounds/evidence.js';
import { classify, conformance, DECISION_RULE, type VerdictClass } from '../bounds/guard-band.js';
import type { DistortionMeasure, Witness } from '../bounds/trials.js';
import type { Claim } from '../claim/claim.js';
import { given } from '../claim/claim-words.js';
import type { RestatingStep } from '../restate/restating-step.js';
import { openTerms, type SettledTerms } from './claim-on-run.js';
import { contraryTo } from './contrary-reading.js';
import { type Judgement, judgeSetting } from './judge-setting.js';
import { type RunSetting, settingsFor } from './run-settings.js';
import { capital, tellingPower, witnessWords } from './verdict-reason.js';

/** The measured figure that a verdict hangs on. */
export interface DecidingPoint {
  readonly step: string;
  readonly channel: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
  readonly frequency_Hz: number;
  readonly limit_percent: number;
  readonly measure: DistortionMeasure;
  readonly power_W: number;
  readonly uncertainty_W: number | null;
  /** `found`: the power at the limit itself; `at-least`, `at-most`: the limit was not tried further. */
  readonly bound: 'found' | 'at-least' | 'at-most';
  /** By what rule a bound goes beyond what was read; empty when it does not. */
  readonly inferred: string;
  readonly points: readonly number[];
}

/** A claim held against a run. */
export interface Verdict {
  readonly claim: Claim;
  readonly run: number;
  readonly verdict: VerdictClass;
  /** One sentence, without an adjective about anybody. */
  readonly reason: string;
  /** What the claim asks for on the terms of the deciding point; null when nothing was held against it. */
  readonly required_W: number | null;
  /** Measured less required. */
  readonly margin_W: number | null;
  readonly margin_dB: number | null;
  /** Probability that the true power reaches what is required, where a power at the limit was found; else null. */
  readonly conformance: number | null;
  readonly deciding: DecidingPoint | null;
  readonly budget: Budget | null;
  /** How the claim was put on the run's terms; empty when it was judged as stated. */
  readonly restated: readonly RestatingStep[];
  /** How the figures compare with the restated ones, when that by itself decides nothing; else null. */
  readonly as_restated: VerdictClass | null;
  /** What the claim leaves open, and how it was taken. */
  readonly taken: readonly string[];
  /** Conditions that the run did not meet or does not tell. */
  readonly not_tested: readonly string[];
  readonly rule: string;
}

/**
 * Holds a claim against a run. It is judged under its own conditions where the run met them. Otherwise it is restated,
 * and then only what follows from it counts: a unit that keeps the power under harder conditions (more channels
 * driven, the voltage into less impedance) meets the claim, one that fails under easier ones does not; the rest is
 * told but decides nothing. What a claim leaves open is taken from the run, and said.
 */
export function verdict(claim: Claim, run: RunRecord): Verdict {
  const part = atMains(run, claim.supply?.kind === 'mains' ? claim.supply.voltage_V : null);
  const { record } = part;
  const terms = openTerms(claim, record);
  if ('missing' in terms) return untested(claim, record, terms.missing);
  const { limit_percent, measure } = terms;
  const evidence = evidenceOf(record, limit_percent, measure);
  const settings = settingsFor(terms.claim, evidence);
  if (settings.length === 0) return untested(claim, record, ['the run has no readings to judge by']);
  const judged = settings.map((setting) => judgeSetting(terms, setting));
  // The run's own answer under the claimed conditions is final; others are only asked when there is none.
  const own = judged.filter(({ state }, i) => settings[i]!.same && state !== 'not tested');
  const candidates = own.length > 0 ? own : judged;
  const decisive =
    candidates.find(({ state }) => state === 'not met') ?? candidates.find(({ state }) => state === 'met');
  const chosen = decisive ?? candidates.find(({ state }) => state === 'inconclusive') ?? candidates[0]!;
  return said(claim, part, terms, chosen, settings[judged.indexOf(chosen)]!);
}

function untested(claim: Claim, record: RunRecord, missing: readonly string[]): Verdict {
  return {
    claim,
    run: record.run,
    verdict: 'not tested',
    reason: `Not tested. ${capital(missing.join('; '))}.`,
    required_W: null,
    margin_W: null,
    margin_dB: null,
    conformance: null,
    deciding: null,
    budget: null,
    restated: [],
    as_restated: null,
    taken: [],
    not_tested: missing,
    rule: DECISION_RULE,
  };
}

function said(
  claim: Claim,
  part: MainsPart,
  terms: SettledTerms,
  judgement: Judgement,
  setting: RunSetting,
): Verdict {
  const { state, required_W, steps, deciding, notTested, asRestated } = judgement;
  const point = deciding && decidingPoint(deciding, terms.measure, required_W);
  const contrary =
    deciding && required_W !== null
      ? contraryTo(part.record, { ...terms, verdict: state, required_W, at: deciding })
      : null;
  return {
    claim,
    run: part.record.run,
    verdict: contrary ? 'inconclusive' : state,
    reason: contrary ? demotedWords(judgement.reason, contrary) : judgement.reason,
    required_W: point ? required_W : null,
    margin_W: point && required_W !== null ? point.power_W - required_W : null,
    margin_dB: point && required_W !== null ? decibelsOfPower(point.power_W / required_W) : null,
    conformance:
      deciding && point && required_W !== null
        ? probability(deciding, point, required_W, contrary ? 'inconclusive' : state)
        : null,
    deciding: point,
    budget: deciding?.budget ?? null,
    restated: steps,
    as_restated: asRestated,
    taken: [...terms.taken, ...setting.taken, ...mainsTaken(claim, part)],
    not_tested: [...notTested, ...unrecorded(claim, part)],
    rule: DECISION_RULE,
  };
}

/** A verdict that a reading contradicts is not stated: both are named. */
const demotedWords = (reason: string, contrary: Witness): string =>
  `Inconclusive. One reading contradicts what follows from the others: ${witnessWords(contrary)}. By the others: ${reason}`;

/** Only where the verdict rests on the guard band alone: beside a doubt of another sort a probability would mislead. */
function probability(
  { budget }: Evidence,
  point: DecidingPoint,
  required_W: number,
  state: VerdictClass,
): number | null {
  const { bound, power_W, uncertainty_W } = point;
  if (bound !== 'found' || !uncertainty_W) return null;
  if (classify(power_W, uncertainty_W, required_W) !== state) return null;
  return conformance(power_W, uncertainty_W / (budget?.coverage_factor ?? 2), required_W);
}

function decidingPoint(
  evidence: Evidence,
  measure: DistortionMeasure,
  required_W: number | null,
): DecidingPoint {
  const { step, channel, driven, load_ohm, frequency_Hz, limit_percent, points, share } = evidence;
  const power_W = tellingPower(evidence, required_W ?? 0);
  const bound = isFound(evidence) ? 'found' : power_W === evidence.least_W ? 'at-least' : 'at-most';
  return {
    ...{ step, channel, driven, load_ohm, frequency_Hz, limit_percent, measure, power_W },
    uncertainty_W: share === null ? null : share * power_W,
    bound,
    inferred: power_W === evidence.kept_W ? '' : evidence.inferred,
    points,
  };
}

function mainsTaken({ supply }: Claim, { mains_V, several }: MainsPart): string[] {
  if (mains_V === null || supply !== null || !several) return [];
  return [`no mains voltage stated: taken as ${given(mains_V, 'V')}, the highest of the run`];
}

function unrecorded({ supply, standard }: Claim, { record, mains_V }: MainsPart): string[] {
  const notes: string[] = [];
  if (supply !== null && (mains_V === null || supply.kind === 'dc'))
    notes.push('the run does not record the voltage of the supply');
  else if (supply !== null && !isNear(mains_V!, supply.voltage_V))
    notes.push(`no mains of ${given(supply.voltage_V, 'V')} as claimed, but ${given(mains_V!, 'V')}`);
  if (standard !== null) notes.push(`the run does not follow ${standard} unless its sequence does`);
  if (record.outcome !== 'completed') notes.push('the run did not come to its planned end');
  return notes;
}
