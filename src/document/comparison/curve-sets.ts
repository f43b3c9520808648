import type { CeilingResult } from '../../record/old-results.js';
import type { Point, Reading, RunRecord } from '../../record/run-record.js';
import { ceilingGroups } from '../model/ceiling-groups.js';
import type { Matchable } from './match-figures.js';

/** A place of a curve with all that a chart may want to say of it. */
export interface CurvePoint {
  readonly frequency_Hz: number;
  readonly power_W: number;
  /** Null for a ceiling, which stands at its threshold. */
  readonly thdn_percent: number | null;
  /** Seconds since the first point of the step. */
  readonly at_s: number;
  readonly channel: number;
  readonly flags: Reading['flags'];
}

/** The curves of one setting of one run, by channel. */
export interface CurveSet extends Matchable {
  readonly measured_Hz: null;
  readonly channels: ReadonlyMap<number, readonly CurvePoint[]>;
  /** Powers found at thresholds, for the rings on a climb. */
  readonly crossings: readonly {
    readonly channel: number;
    readonly power_W: number;
    readonly percent: number;
  }[];
}

/** What a step draws, and what figures it is matched like. */
const KINDS = { climb: 'power-at-thdn', sweep: 'band-power', hold: 'hold-power' } as const;
export type DrawnKind = keyof typeof KINDS | 'ceiling';

/** The curves that a run has of one kind, one set a setting; each climb by rising power, the rest by frequency or time. */
export function curveSets(record: RunRecord, kind: DrawnKind): CurveSet[] {
  return kind === 'ceiling' ? ceilingSets(record) : stepSets(record, kind);
}

function stepSets(record: RunRecord, kind: keyof typeof KINDS): CurveSet[] {
  const bySetting = new Map<string, Point[]>();
  for (const point of record.points) {
    if (point.stepKind !== kind) continue;
    const key = JSON.stringify([point.step, point.load_ohm, point.driven, point.mains_V]);
    const list = bySetting.get(key);
    if (list) list.push(point);
    else bySetting.set(key, [point]);
  }
  const readings = grouped(record.readings);
  return [...bySetting.values()].map((all) => setOf(record, kind, all, readings));
}

function grouped(readings: readonly Reading[]): Map<number, Reading[]> {
  const byPoint = new Map<number, Reading[]>();
  for (const reading of readings) {
    const list = byPoint.get(reading.point);
    if (list) list.push(reading);
    else byPoint.set(reading.point, [reading]);
  }
  return byPoint;
}

function setOf(
  record: RunRecord,
  kind: keyof typeof KINDS,
  points: readonly Point[],
  readings: ReadonlyMap<number, readonly Reading[]>,
): CurveSet {
  const { step, driven, load_ohm, mains_V, at_s } = points[0]!;
  const channels = new Map<number, CurvePoint[]>();
  for (const point of points)
    for (const reading of readings.get(point.number) ?? []) {
      const { channel, frequency_Hz, power_W, thdn_percent, flags } = reading;
      const list = channels.get(channel) ?? [];
      list.push({ frequency_Hz, power_W, thdn_percent, at_s: point.at_s - at_s, channel, flags });
      channels.set(channel, list);
    }
  const by = ({ climb: 'power_W', sweep: 'frequency_Hz', hold: 'at_s' } as const)[kind];
  for (const list of channels.values()) list.sort((a, b) => a[by] - b[by]);
  const nominals = points.map(({ nominal_Hz }) => nominal_Hz);
  return {
    run: record.run,
    kind: KINDS[kind],
    step,
    channel: 0,
    driven,
    load_ohm,
    mains_V,
    threshold_percent: null,
    band_Hz: [Math.min(...nominals), Math.max(...nominals)],
    measured_Hz: null,
    channels,
    crossings: record.results.flatMap((result) =>
      result.kind === 'power-at-thdn' && result.step === step && (result.power_W ?? 0) > 0
        ? [{ channel: result.channel, power_W: result.power_W!, percent: result.threshold_percent }]
        : [],
    ),
  };
}

function ceilingSets(record: RunRecord): CurveSet[] {
  return ceilingGroups(record).map(
    ({ threshold_percent, load_ohm, driven, mains_V, channels, nominals_Hz }) => ({
      run: record.run,
      kind: 'least-ceiling' as const,
      step: [...channels.values()][0]![0]!.step,
      channel: 0,
      driven,
      load_ohm,
      mains_V,
      threshold_percent,
      band_Hz: [nominals_Hz[0]!, nominals_Hz.at(-1)!] as const,
      measured_Hz: null,
      channels: new Map([...channels].map(([channel, results]) => [channel, results.flatMap(placeOf)])),
      crossings: [],
    }),
  );
}

const placeOf = ({ power_W, frequency_Hz, channel, flags }: CeilingResult): CurvePoint[] =>
  power_W === null ? [] : [{ power_W, frequency_Hz, channel, flags, thdn_percent: null, at_s: 0 }];
