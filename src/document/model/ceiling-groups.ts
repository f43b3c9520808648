import type { CauseResult, CeilingResult } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { drivenWords } from './wording.js';

/** The ceilings of one setting: one threshold into one load, with one set of channels driven, at one mains voltage. */
export interface CeilingGroup {
  readonly run: number;
  readonly threshold_percent: number;
  readonly load_ohm: number;
  readonly driven: readonly number[];
  readonly mains_V: number | null;
  /** By channel, each by rising frequency. */
  readonly channels: ReadonlyMap<number, readonly CeilingResult[]>;
  /** Frequencies that any channel was searched at, rising. */
  readonly nominals_Hz: readonly number[];
}

/** The ceilings of a run, setting by setting; passes of one setting are put together. */
export function ceilingGroups(record: RunRecord): CeilingGroup[] {
  const mains = new Map(record.points.map(({ step, mains_V }) => [step, mains_V]));
  const settings = new Map<string, CeilingResult[]>();
  for (const result of record.results) {
    if (result.kind !== 'ceiling') continue;
    const { threshold_percent, load_ohm, driven, step } = result;
    const key = JSON.stringify([threshold_percent, load_ohm, driven, mains.get(step) ?? null]);
    settings.set(key, [...(settings.get(key) ?? []), result]);
  }
  return [...settings.values()].map((results) => {
    const { threshold_percent, load_ohm, driven, step } = results[0]!;
    const sorted = results.toSorted((a, b) => a.nominal_Hz - b.nominal_Hz);
    const numbers = [...new Set(results.map(({ channel }) => channel))].sort((a, b) => a - b);
    return {
      run: record.run,
      threshold_percent,
      load_ohm,
      driven,
      mains_V: mains.get(step) ?? null,
      channels: new Map(
        numbers.map((channel) => [channel, sorted.filter((result) => result.channel === channel)]),
      ),
      nominals_Hz: [...new Set(sorted.map(({ nominal_Hz }) => nominal_Hz))],
    };
  });
}

/** The lowest ceiling of any channel at any frequency; null when there is none at all. */
export function leastCeiling({
  channels,
}: CeilingGroup): (CeilingResult & { readonly power_W: number }) | null {
  const found = [...channels.values()].flat().filter(hasPower);
  return found.length === 0 ? null : found.reduce((a, b) => (b.power_W < a.power_W ? b : a));
}

export const hasPower = (result: CeilingResult): result is CeilingResult & { readonly power_W: number } =>
  result.power_W !== null;

/** What was searched for and not found. */
export const withoutCeiling = ({ channels }: CeilingGroup): CeilingResult[] =>
  [...channels.values()].flat().filter((result) => !hasPower(result));

/** `0.1 % THD+N, 8 ohm, channels 1 and 2 driven, 230 V mains`. */
export function ceilingSetting({ threshold_percent, load_ohm, driven, mains_V }: CeilingGroup): string {
  const mains = mains_V === null ? '' : `, ${formatQuantity(mains_V, 'V', { figures: 3, trim: true })} mains`;
  return `${formatQuantity(threshold_percent, '%')} THD+N, ${formatQuantity(load_ohm, 'ohm')}, ${drivenWords(driven)}${mains}`;
}

/** What was found to be the cause at a frequency, for one channel of a group or, without one, for any. */
export function causesOf(
  { results }: RunRecord,
  { load_ohm, driven }: Pick<CeilingGroup, 'load_ohm' | 'driven'>,
  nominal_Hz: number,
  channel?: number,
): CauseResult[] {
  return results.filter(
    (result): result is CauseResult =>
      result.kind === 'cause' &&
      result.load_ohm === load_ohm &&
      result.driven.join() === driven.join() &&
      result.nominal_Hz === nominal_Hz &&
      (channel === undefined || result.channel === channel),
  );
}
