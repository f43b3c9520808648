import { numberOf } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import { stepVisits } from '../../record/step-times.js';
import { gapWords, untried, within } from '../bounds/coverage.js';
import type { Claim } from '../claim/claim.js';
import { given } from '../claim/claim-words.js';
import { worked } from '../restate/restate-load.js';
import type { Condition, ConditionState } from './condition.js';
import { recordedConditions } from './recorded-conditions.js';
import { NO_FINDING, TRADE_RULE } from './trade-rule.js';

export interface ProtocolCheck {
  readonly rule: string;
  readonly conditions: readonly Condition[];
  readonly statement: string;
}

/**
 * Goes through the conditions of the US trade rule and says which of them a run met. Says nothing about the unit, and
 * nothing about the law.
 *
 * @param claim whose power is the rated one: the preconditioning and the levels hang on it; null when there is none
 */
export function protocolCheck(record: RunRecord, claim: Claim | null = null): ProtocolCheck {
  const rated_W = claim === null ? null : claim.power_W;
  return {
    rule: TRADE_RULE.name,
    conditions: [
      rating(claim),
      load(record),
      band(record),
      distortion(record),
      levels(record, rated_W),
      channels(record),
      preconditioning(record, rated_W),
      dwell(record, rated_W),
      ...recordedConditions(record),
    ],
    statement: NO_FINDING,
  };
}

const SUMMARY_2024 = '16 CFR 432.2, by a public summary of the final rule of 2024';
const TEXT_2006 = '16 CFR 432.3, text of 2006; as unchanged in 2024 from memory';

const yes = (met: boolean): ConditionState => (met ? 'met' : 'not met');

function rating(claim: Claim | null): Condition {
  const found =
    claim === null
      ? 'no claim was given'
      : `${given(claim.power_W, 'W')}${claim.per === 'total' ? ' of all channels together' : ''}`;
  const perChannel =
    claim !== null && claim.per !== 'total' && (claim.kind === null || claim.kind === 'continuous');
  return {
    condition: 'rated quantity',
    required:
      'continuous average power of a sine, watts per channel, the lowest of all channels and frequencies',
    found: claim?.kind ? `${found}, ${claim.kind}` : found,
    state: claim === null ? 'not recorded' : yes(perChannel),
    source: '16 CFR 432.2(a), text before 2024',
  };
}

function load({ points }: RunRecord): Condition {
  const loads = [...new Set(points.map(({ load_ohm }) => load_ohm))];
  return {
    condition: 'load',
    required: given(TRADE_RULE.load_ohm, 'ohm'),
    found: loads.length === 0 ? 'nothing was played' : loads.map((ohms) => given(ohms, 'ohm')).join(', '),
    state: yes(loads.includes(TRADE_RULE.load_ohm)),
    source: SUMMARY_2024,
  };
}

function band({ points }: RunRecord): Condition {
  const into8 = points.filter(({ load_ohm }) => load_ohm === TRADE_RULE.load_ohm);
  const gaps = untried(
    into8.map(({ nominal_Hz }) => nominal_Hz),
    [TRADE_RULE.low_Hz, TRADE_RULE.high_Hz],
  );
  const tried = new Set(into8.map(({ nominal_Hz }) => nominal_Hz)).size;
  return {
    condition: 'band',
    required: '20 Hz to 20 kHz',
    found: gaps.length === 0 ? `${tried} frequencies, both ends among them` : gapWords(gaps).join('; '),
    state: yes(gaps.length === 0),
    source: SUMMARY_2024,
  };
}

function distortion({ readings }: RunRecord): Condition {
  const blind = readings.filter(({ flags }) => flags.includes('harmonics-out-of-band'));
  const highest = Math.max(0, ...blind.map(({ frequency_Hz }) => frequency_Hz));
  return {
    condition: 'distortion',
    required: `THD+N of at most ${given(TRADE_RULE.limit_percent, '%')}; the rule names no measuring band`,
    found:
      blind.length === 0
        ? 'THD+N, the third harmonic within the band at every frequency'
        : `THD+N, the third harmonic outside the measuring band up to ${worked(highest, 'Hz')}`,
    state: readings.length === 0 ? 'not recorded' : 'met',
    source: SUMMARY_2024,
  };
}

function levels(record: RunRecord, rated_W: number | null): Condition {
  const climbs = new Map<string, number[]>();
  const points = new Map(record.points.map((point) => [point.number, point]));
  for (const { point, power_W } of record.readings) {
    const at = points.get(point);
    if (at?.stepKind !== 'climb' || at.load_ohm !== TRADE_RULE.load_ohm) continue;
    climbs.set(at.step, [...(climbs.get(at.step) ?? []), power_W]);
  }
  const complete = [...climbs.values()].filter(
    (powers) =>
      Math.min(...powers) <= TRADE_RULE.from_W * 1.05 &&
      (rated_W === null || Math.max(...powers) >= rated_W * 0.98),
  );
  return {
    condition: 'levels',
    required: `every level from ${given(TRADE_RULE.from_W, 'W')} to the rated power`,
    found: climbsWords(complete.length, climbs.size, rated_W),
    state: rated_W === null ? 'not recorded' : yes(complete.length > 0),
    source: '16 CFR 432.2(b)(2), text before 2024, and a public summary of 2024',
  };
}

function climbsWords(complete: number, all: number, rated_W: number | null): string {
  if (all === 0) return 'no climb into 8 ohm';
  const to = rated_W === null ? 'wherever they ended (no rated power was given)' : given(rated_W, 'W');
  return `${complete} of ${all} ${all === 1 ? 'climb' : 'climbs'} into 8 ohm went from ${given(TRADE_RULE.from_W, 'W')} to ${to}`;
}

function channels({ points }: RunRecord): Condition {
  const into8 = points.filter(({ load_ohm }) => load_ohm === TRADE_RULE.load_ohm);
  const most = Math.max(0, ...into8.map(({ driven }) => driven.length));
  return {
    condition: 'channels driven',
    required: 'two or more at once; of a multichannel unit at least front left and front right',
    found: most === 1 ? '1 at once (enough for a unit with one channel)' : `${most} at once`,
    state: yes(most >= TRADE_RULE.channels),
    source: SUMMARY_2024,
  };
}

function preconditioning(record: RunRecord, rated_W: number | null): Condition {
  const { share, seconds, frequency_Hz } = TRADE_RULE.preconditioning;
  const steps = [
    ...new Set(record.points.filter(({ stepKind }) => stepKind === 'warm-up').map(({ step }) => step)),
  ];
  const warmUps = steps.map((step) => warmUp(record, step));
  const right = warmUps.find(
    (one) =>
      one.seconds >= seconds * 0.99 &&
      within(one.frequency_Hz, [frequency_Hz, frequency_Hz]) &&
      rated_W !== null &&
      one.power_W >= share * rated_W * 0.98,
  );
  const told = warmUps.map(
    (one) =>
      `${given(Math.round(one.seconds), 's')} at ${worked(one.power_W, 'W')}, ${worked(one.frequency_Hz, 'Hz')}`,
  );
  return {
    condition: 'preconditioning',
    required: `one eighth of the rated power, 1 kHz, one hour${rated_W === null ? '' : ` (${worked(share * rated_W, 'W')}, 3600 s)`}`,
    found: told.length === 0 ? 'none' : told.join('; '),
    state: rated_W === null && told.length > 0 ? 'not recorded' : yes(right !== undefined),
    source: `${TEXT_2006.replace('text of 2006', 'as amended in 2000 (65 FR 81232)')}`,
  };
}

/** A warm-up lasts as long as its longest visit, as far as events tell; else from its first point to its last. Visits are never added up: the unit cools in between. */
function warmUp(record: RunRecord, step: string) {
  const points = record.points.filter((point) => point.step === step);
  const numbers = new Set(points.map(({ number }) => number));
  const powers = record.readings.filter(({ point }) => numbers.has(point)).map(({ power_W }) => power_W);
  const visits = stepVisits(record).filter((visit) => visit.step === step);
  return {
    seconds:
      visits.length > 0
        ? Math.max(...visits.map(({ seconds }) => seconds))
        : points.at(-1)!.at_s - points[0]!.at_s,
    power_W: powers.length === 0 ? 0 : Math.min(...powers),
    frequency_Hz: points[0]!.nominal_Hz,
  };
}

/** Holds of a channel: how long, and the lowest power. */
function dwell(record: RunRecord, rated_W: number | null): Condition {
  const long = findingsOf(record).filter((finding) => {
    const lowest_W = numberOf(finding);
    return (
      finding.quantity === 'power' &&
      finding.statistic === 'minimum' &&
      (finding.terms.seconds ?? 0) >= TRADE_RULE.dwell_s * 0.999 &&
      finding.setting.load_ohm === TRADE_RULE.load_ohm &&
      lowest_W !== null &&
      (rated_W === null || lowest_W >= rated_W * 0.98)
    );
  });
  const gaps = untried(
    long.map(({ stimulus }) => stimulus.nominal_Hz ?? stimulus.lines_Hz[0]!),
    [TRADE_RULE.low_Hz, TRADE_RULE.high_Hz],
  );
  const count = new Set(long.map(({ setting }) => setting.step)).size;
  return {
    condition: 'time at the rated power',
    required: 'five minutes at each frequency',
    found:
      count === 0
        ? 'no level was held as long'
        : `at ${count} frequencies${gaps.length > 0 ? `; ${gapWords(gaps).join('; ')}` : ''}`,
    state: yes(count > 0 && gaps.length === 0),
    source: '16 CFR 432.3(e), from memory',
  };
}
