import type { Finding } from '../../../record/finding.js';
import { findingsOf } from '../../../record/findings-of.js';
import type { Point, Reading, RunRecord } from '../../../record/run-record.js';
import { groupBy } from '../../../units/group-by.js';

export interface PlacedReading {
  readonly point: Point;
  readonly reading: Reading;
}

/** What one step read and found at one setting. */
export interface StepReadings {
  readonly step: string;
  readonly load_ohm: number;
  readonly driven: readonly number[];
  readonly mains_V: number | null;
  /** Lowest and highest nominal frequency. */
  readonly band_Hz: readonly [number, number];
  /** By channel, in the order played. */
  readonly channels: ReadonlyMap<number, readonly PlacedReading[]>;
  readonly findings: readonly Finding[];
}

/** The readings of all steps of a kind, setting by setting; one without a reading is left out. */
export function stepReadings(record: RunRecord, kind: Point['stepKind']): StepReadings[] {
  const settings = new Map<string, Map<number, Point>>();
  for (const point of record.points) {
    if (point.stepKind !== kind) continue;
    const key = JSON.stringify([point.step, point.load_ohm, point.driven, point.mains_V]);
    const points = settings.get(key) ?? new Map<number, Point>();
    settings.set(key, points.set(point.number, point));
  }
  return [...settings.values()]
    .map((points) => readingsAt(record, points))
    .filter(({ channels }) => channels.size > 0);
}

function readingsAt(record: RunRecord, points: ReadonlyMap<number, Point>): StepReadings {
  const all = [...points.values()];
  const { step, load_ohm, driven, mains_V } = all[0]!;
  const placed = record.readings.flatMap((reading): PlacedReading[] => {
    const point = points.get(reading.point);
    return point === undefined ? [] : [{ point, reading }];
  });
  const nominals = all.map(({ nominal_Hz }) => nominal_Hz);
  return {
    step,
    load_ohm,
    driven,
    mains_V,
    band_Hz: [Math.min(...nominals), Math.max(...nominals)],
    channels: groupBy(placed, ({ reading }) => reading.channel),
    findings: findingsOf(record).filter(
      ({ setting }) => setting.step === step && setting.load_ohm === load_ohm && setting.mains_V === mains_V,
    ),
  };
}

export const channelsOf = ({ channels }: StepReadings): number[] =>
  [...channels.keys()].sort((a, b) => a - b);

export const allReadings = ({ channels }: StepReadings): PlacedReading[] => [...channels.values()].flat();
