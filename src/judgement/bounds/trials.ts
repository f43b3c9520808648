import type { FlagCode } from '../../measure/flags.js';
import type { Point, Reading, RunRecord } from '../../record/run-record.js';
import { groupBy } from '../../units/group-by.js';

/** Which distortion a limit is held against. */
export type DistortionMeasure = 'THD' | 'THD+N';

/** A trial of a limit: a reading with the point it was taken at, and the distortion that the limit is held against. */
export interface Trial {
  readonly point: Point;
  readonly reading: Reading;
  /** Percent, of the measure that the limit is held against. */
  readonly distortion: number;
}

/** Readings that say nothing about power. */
const WORTHLESS: readonly FlagCode[] = ['no-tone', 'gap-in-capture', 'clipped-capture'];

/** What of a run says something about power: every reading with a tone, a power and a distortion. */
export function trialsOf(
  { points, readings }: Pick<RunRecord, 'points' | 'readings'>,
  measure: DistortionMeasure,
): Trial[] {
  const byNumber = new Map(points.map((point) => [point.number, point]));
  return readings.flatMap((reading) => {
    const point = byNumber.get(reading.point);
    const distortion = measure === 'THD' ? reading.thd_percent : reading.thdn_percent;
    const useless = !(reading.power_W > 0) || reading.flags.some((flag) => WORTHLESS.includes(flag));
    return !point || distortion === null || useless ? [] : [{ point, reading, distortion }];
  });
}

/** What is given, in groups of the same key, in the order in which the keys come first. */
export const grouped = <Item>(trials: readonly Item[], keyOf: (trial: Item) => string): Item[][] => [
  ...groupBy(trials, keyOf).values(),
];

/** One channel at one frequency into one load with one set of channels driven: where a power is that of the unit. */
export const settingKey = ({
  point: { nominal_Hz, load_ohm, driven },
  reading: { channel },
}: Trial): string => `${channel} ${nominal_Hz} ${load_ohm} ${driven.join()}`;

/** By rising drive; where the drive was the same, by power. */
export const byDrive = (trials: readonly Trial[]): Trial[] =>
  [...trials].sort((a, b) => a.point.level_dB - b.point.level_dB || a.reading.power_W - b.reading.power_W);

/** The distortion with its uncertainty on the side that makes the least of the reading. */
export const worstOf = ({ distortion, reading }: Trial): number =>
  distortion + (reading.thdn_uncertainty_percent ?? 0);
/** The same on the other side. */
export const bestOf = ({ distortion, reading }: Trial): number =>
  Math.max(0, distortion - (reading.thdn_uncertainty_percent ?? 0));

/** Whether a reading keeps a limit for certain. One whose own uncertainty reaches over the limit neither keeps nor exceeds it. */
export const keeps = (trial: Trial, limit_percent: number): boolean => worstOf(trial) <= limit_percent;
/** Whether it exceeds a limit for certain. */
export const exceeds = (trial: Trial, limit_percent: number): boolean => bestOf(trial) > limit_percent;

/** Expanded uncertainty over the power; null when not stated. */
export const shareOf = ({ uncertainty_W, power_W }: Reading): number | null =>
  uncertainty_W === null ? null : uncertainty_W / power_W;

/** A reading that is named for or against something. */
export interface Witness {
  readonly step: string;
  readonly point: number;
  readonly power_W: number;
  readonly percent: number;
}

export const witness = ({ point, reading, distortion }: Trial): Witness => ({
  ...{ step: point.step, point: point.number, power_W: reading.power_W, percent: distortion },
});
