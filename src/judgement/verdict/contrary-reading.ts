import type { RunRecord } from '../../record/run-record.js';
import { within } from '../bounds/coverage.js';
import { doubtsOf } from '../bounds/doubts.js';
import type { VerdictClass } from '../bounds/guard-band.js';
import {
  type DistortionMeasure,
  exceeds,
  keeps,
  shareOf,
  type Trial,
  trialsOf,
  type Witness,
  witness,
} from '../bounds/trials.js';
import type { Claim } from '../claim/claim.js';

/** A reading that is doubtful itself disproves nothing. */
export const isSure = ({ reading }: Trial): boolean =>
  doubtsOf(reading.flags, 'kept').length === 0 && doubtsOf(reading.flags, 'exceeded').length === 0;

export const trialsIn = (
  trials: readonly Trial[],
  at: Pick<Trial['point'], 'load_ohm' | 'driven'>,
): Trial[] =>
  trials.filter(({ point }) => point.load_ohm === at.load_ohm && point.driven.join() === at.driven.join());

/** The power of a reading less, and plus, its uncertainty. */
export const lowest = ({ reading }: Trial): number => reading.power_W * (1 - (shareOf(reading) ?? 0));
export const highest = ({ reading }: Trial): number => reading.power_W * (1 + (shareOf(reading) ?? 0));

/** What of a verdict is held against readings. */
export interface StatedVerdict {
  readonly claim: Claim;
  readonly verdict: VerdictClass;
  readonly required_W: number;
  readonly at: {
    readonly load_ohm: number;
    readonly driven: readonly number[];
    readonly channel: number;
    readonly nominal_Hz: number;
  };
  readonly limit_percent: number;
  readonly measure: DistortionMeasure;
  readonly band: readonly [number, number];
}

/**
 * A reading under the judged setting that says the contrary of a verdict; null where none does. Met: the limit is exceeded
 * short of the required power and kept nowhere up there. Not met: the limit is kept at the required power or more.
 */
export function contraryTo(record: RunRecord, stated: StatedVerdict): Witness | null {
  const { claim, verdict, required_W, at, limit_percent, measure, band } = stated;
  const trials = trialsIn(trialsOf(record, measure).filter(isSure), at);
  if (verdict === 'met') {
    const inBand = trials.filter(({ point }) => within(point.nominal_Hz, band));
    const short = inBand.filter((trial) => exceeds(trial, limit_percent) && highest(trial) < required_W);
    const from_W = claim.from_W;
    const against =
      from_W === null
        ? short.find((trial) => !inBand.some((other) => redeems(other, trial, limit_percent, required_W)))
        : short.find(({ reading }) => reading.power_W >= from_W);
    return against ? witness(against) : null;
  }
  // A claim from a level up, or for a time, may fail although the power is reached.
  if (verdict !== 'not met' || claim.from_W !== null || claim.duration_s !== null) return null;
  const kept = trials.find(
    (trial) =>
      trial.reading.channel === at.channel &&
      trial.point.nominal_Hz === at.nominal_Hz &&
      keeps(trial, limit_percent) &&
      lowest(trial) >= required_W,
  );
  return kept ? witness(kept) : null;
}

/** The limit is kept again further up at the same place, so that a lower stretch alone does not bound the power. */
const redeems = (other: Trial, trial: Trial, limit_percent: number, required_W: number): boolean =>
  other.reading.channel === trial.reading.channel &&
  other.point.nominal_Hz === trial.point.nominal_Hz &&
  keeps(other, limit_percent) &&
  (other.reading.power_W > trial.reading.power_W || highest(other) >= required_W);
