import { z } from 'zod';
import { type Finding, numberOf } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import { standingFindings } from '../../record/standing-findings.js';
import { isYes, yesOrNo } from '../../schema/fields.js';
import type { Checks } from '../../schema/sequence-purpose.js';
import { YamlDocument } from '../../schema/yaml-document.js';
import { doubtsOf } from '../bounds/doubts.js';
import { bestOf, grouped, keeps, type Trial, trialsOf, worstOf } from '../bounds/trials.js';
import { type DueReadings, dueDc } from './due-readings.js';

/** `not tested`: the run cannot see it; `inconclusive`: it lies within its own uncertainty, or below what the bench sees. */
export type CheckState = 'passed' | 'failed' | 'inconclusive' | 'not tested';

export type CheckName = keyof Omit<Checks, 'distortion'>;

/** One limit held against one channel. */
export interface CheckItem {
  readonly check: CheckName;
  readonly channel: number;
  readonly state: CheckState;
  /** In the base unit of the check: V, %, dB, W. Null where nothing was read. */
  readonly value: number | null;
  readonly uncertainty: number | null;
  readonly limit: number;
  /** Where it was read: power in watts, or null. */
  readonly at_W: number | null;
  /** Distortion falls with level there, as of a crossover. */
  readonly falls: boolean;
  /** Read by a meter, and typed in. */
  readonly metered: boolean;
  /** Why what was read passes nothing: further readings that the sequence plans. Null where none is missing. */
  readonly lacks: DueReadings | null;
  readonly points: readonly number[];
}

/** What of the bench decides whether a check can be made at all. */
export interface Sight {
  /** Whether the inputs are stated to pass direct voltage. */
  readonly dc_coupled: boolean;
}

const benchSchema = z.looseObject({ dc_coupled: yesOrNo.optional() });

/** What the stored text of a bench states. */
export function sightOf(text: string): Sight {
  try {
    const { dc_coupled } = benchSchema.parse(new YamlDocument(text, 'bench').data);
    return { dc_coupled: isYes(dc_coupled) };
  } catch {
    return { dc_coupled: false };
  }
}

/** Where crossover and gain are looked at, Hz. */
const MIDDLE_Hz = 1000;

/** Holds a run against the limits of a check: for every channel that was measured, one item a limit. */
export function checkItems(record: RunRecord, checks: Checks, sight: Sight): CheckItem[] {
  const trials = trialsOf(record, 'THD+N');
  const findings = standingFindings(findingsOf(record));
  const channels = [
    ...new Set([
      ...record.points.flatMap(({ driven }) => driven),
      ...findings.flatMap(({ setting }) => setting.channel ?? []),
    ]),
  ].sort((a, b) => a - b);
  const { dc, noise, residual, match, power, distortion } = checks;
  return channels.flatMap((channel): CheckItem[] => {
    const own = trials.filter(({ reading }) => reading.channel === channel);
    const heard = (quantity: Finding['quantity']) =>
      findings.filter((finding) => finding.quantity === quantity && finding.setting.channel === channel);
    return [
      ...(dc === undefined
        ? []
        : [dcItem(channel, dc, heard, sight, dueDc(record, channel, sight.dc_coupled))]),
      ...(noise === undefined ? [] : [noiseItem(channel, noise, heard('noise'))]),
      ...(residual === undefined ? [] : [residualItem(channel, residual, own)]),
      ...(match === undefined || channels.length < 2
        ? []
        : [matchItem(channel, match, distortion ?? 1, trials)]),
      ...(power === undefined ? [] : [powerItem(channel, power, distortion ?? 1, own)]),
    ];
  });
}

/** Passed only if every item is; one failure fails. What could not be tested is left out of the count, and said. */
export function checkState(items: readonly CheckItem[]): CheckState {
  const has = (state: CheckState) => items.some((item) => item.state === state);
  if (has('failed')) return 'failed';
  if (has('inconclusive')) return 'inconclusive';
  return has('passed') ? 'passed' : 'not tested';
}

type Read = Pick<CheckItem, 'value' | 'uncertainty' | 'at_W' | 'points'>;
const UNREAD: Read = { value: null, uncertainty: null, at_W: null, points: [] };

const item = (
  check: CheckName,
  channel: number,
  limit: number,
  state: CheckState,
  read: Read = UNREAD,
): CheckItem => ({ check, channel, limit, state, falls: false, metered: false, lacks: null, ...read });

/** Upper limits: passed when the value with its uncertainty lies below, failed when it lies above without. */
function below(value: number, uncertainty: number | null, limit: number): CheckState {
  const within = uncertainty ?? 0;
  if (value + within <= limit) return 'passed';
  return value - within > limit ? 'failed' : 'inconclusive';
}

const highest = (findings: readonly Finding[]): Finding | null =>
  findings.reduce<Finding | null>(
    (a, b) => (a === null || Math.abs(numberOf(b) ?? 0) > Math.abs(numberOf(a) ?? 0) ? b : a),
    null,
  );

/**
 * A meter reading decides. What the input shows can fail a unit as well, and passes it only where the input is stated to pass
 * direct voltage: one that blocks it shows none. Either passes it only when no reading that is due is missing: DC drifts as a unit
 * gets warm.
 */
function dcItem(
  channel: number,
  limit: number,
  heard: (quantity: 'dc' | 'dc-by-meter') => readonly Finding[],
  sight: Sight,
  due: DueReadings,
): CheckItem {
  const by = (worst: Finding | null, metered: boolean): CheckItem[] => {
    if (worst === null) return [];
    const value = Math.abs(numberOf(worst) ?? 0);
    const { uncertainty, points } = worst;
    const read = { value, uncertainty, at_W: null, points };
    return [{ ...item('dc', channel, limit, below(value, uncertainty, limit), read), metered }];
  };
  const metered = by(highest(heard('dc-by-meter')), true);
  const shown = by(highest(heard('dc')), false);
  const failed = [...metered, ...shown].find(({ state }) => state === 'failed');
  if (failed) return failed;
  const [read] = [...metered, ...shown];
  const blocked = metered.length === 0 && !sight.dc_coupled;
  if (!read || blocked) return { ...(read ?? item('dc', channel, limit, 'not tested')), state: 'not tested' };
  return due.missing.length === 0 ? read : { ...read, state: 'not tested', lacks: due };
}

function noiseItem(channel: number, limit: number, heard: readonly Finding[]): CheckItem {
  const worst = highest(heard.filter(({ terms }) => (terms.weighting ?? 'none') === 'none'));
  const value = worst && numberOf(worst);
  if (!worst || value === null) return item('noise', channel, limit, 'not tested');
  const { uncertainty, points, flags } = worst;
  const state = below(value, uncertainty, limit);
  // More than the limit by the bench alone says nothing about the unit.
  const doubtful = state === 'failed' && doubtsOf(flags, 'exceeded').length > 0;
  return item('noise', channel, limit, doubtful ? 'inconclusive' : state, {
    ...{ value, uncertainty, at_W: null, points },
  });
}

const nearMiddle = (trials: readonly Trial[]): Trial[] => {
  const off = ({ point }: Trial) => Math.abs(Math.log(point.nominal_Hz / MIDDLE_Hz));
  const nearest = Math.min(...trials.map(off));
  return trials.filter((trial) => off(trial) === nearest);
};

const byPower = (trials: readonly Trial[]): Trial[] =>
  [...trials].sort((a, b) => a.reading.power_W - b.reading.power_W);

/** At the lowest level that was played, where a crossover shows best. */
function residualItem(channel: number, limit: number, own: readonly Trial[]): CheckItem {
  const rising = byPower(nearMiddle(own));
  const [lowest] = rising;
  if (!lowest) return item('residual', channel, limit, 'not tested');
  const { reading, point, distortion } = lowest;
  const uncertainty = reading.thdn_uncertainty_percent;
  const state = worstOf(lowest) <= limit ? 'passed' : bestOf(lowest) > limit ? 'failed' : 'inconclusive';
  const doubts = doubtsOf(reading.flags, state === 'failed' ? 'exceeded' : 'kept');
  return {
    ...item('residual', channel, limit, doubts.length > 0 ? 'inconclusive' : state, {
      ...{ value: distortion, uncertainty, at_W: reading.power_W, points: [point.number] },
    }),
    falls: rising.some(
      (trial) => trial.reading.power_W > 2 * reading.power_W && trial.distortion < distortion / 2,
    ),
  };
}

/**
 * Gain beside that of the middle channel (of two the first), at the highest level that all were read at together below
 * clipping: a crossover costs gain at low level.
 */
function matchItem(channel: number, limit: number, percent: number, all: readonly Trial[]): CheckItem {
  const levels = grouped(nearMiddle(all), ({ point }) => `${point.number}`).filter(
    (together) =>
      together.length > 1 &&
      together.some(({ reading }) => reading.channel === channel) &&
      together.every((trial) => keeps(trial, percent)),
  );
  if (levels.length === 0) return item('match', channel, limit, 'not tested');
  const together = levels.reduce((a, b) => (b[0]!.reading.power_W > a[0]!.reading.power_W ? b : a));
  const own = together.find(({ reading }) => reading.channel === channel)!;
  const byGain = [...together].sort((a, b) => a.reading.gain_dB - b.reading.gain_dB);
  const middle = together.length === 2 ? together[0]! : byGain[Math.floor(byGain.length / 2)]!;
  const value = Math.abs(own.reading.gain_dB - middle.reading.gain_dB);
  return item('match', channel, limit, value <= limit ? 'passed' : 'failed', {
    ...{ value, uncertainty: null, at_W: own.reading.power_W, points: [own.point.number] },
  });
}

/** A level is set by the gain found before, to within this. */
const LEVEL_SLACK = 0.95;

/** The highest power that was delivered within the limit of distortion. */
function powerItem(channel: number, limit: number, percent: number, own: readonly Trial[]): CheckItem {
  const rising = byPower(own);
  const best = rising.findLast((trial) => keeps(trial, percent));
  const top = rising.at(-1);
  if (!top) return item('power', channel, limit, 'not tested');
  const shown = best ?? top;
  const reached = best !== undefined && best.reading.power_W >= limit * LEVEL_SLACK;
  const tried = own.some(
    ({ point, reading }) => Math.max(point.asked_W ?? 0, reading.power_W) >= limit * LEVEL_SLACK,
  );
  return item('power', channel, limit, reached ? 'passed' : tried ? 'failed' : 'not tested', {
    ...{ value: shown.reading.power_W, uncertainty: shown.reading.uncertainty_W },
    ...{ at_W: null, points: [shown.point.number] },
  });
}
