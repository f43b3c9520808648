import type { Finding } from '../../../record/finding.js';
import { findingsOf } from '../../../record/findings-of.js';
import type { Point, Reading, RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { formatUncertain } from '../../../units/format-uncertain.js';
import { groupBy } from '../../../units/group-by.js';
import { typeset } from '../../html/typeset.js';
import type { Axis, Chart, ChartPoint, Curve, PlayedSetting } from '../block.js';
import { isDoubtful } from '../doubtful.js';

export interface ReadingAtPoint {
  readonly point: Point;
  readonly reading: Reading;
}

/** What one step read and found at one setting. */
export interface StepReadings extends PlayedSetting {
  /** Lowest and highest nominal frequency. */
  readonly band_Hz: readonly [number, number];
  /** By channel, in the order played. */
  readonly channels: ReadonlyMap<number, readonly ReadingAtPoint[]>;
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
  const placed = record.readings.flatMap((reading): ReadingAtPoint[] => {
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

export const allReadings = ({ channels }: StepReadings): ReadingAtPoint[] => [...channels.values()].flat();

/** What a chart of these readings says of its setting, so that those of other runs can be laid over it. */
export const subjectOf = ({ step, driven, load_ohm, mains_V, band_Hz }: StepReadings, held: boolean) => ({
  step,
  held,
  driven,
  load_ohm,
  mains_V,
  band_Hz,
  threshold_percent: null,
});

/** One of the pictures of a level that a step was told to hold. */
export interface LevelPart extends Pick<Chart, 'y' | 'curves' | 'words'> {
  /** What is drawn against what. */
  readonly what: string;
  readonly guides?: Chart['guides'];
  /** The curve that stands for all where there is room for one only, and which channel that is of. */
  readonly worst: Curve;
  readonly chosen: string;
}

/** Makes the pictures of a level, all along one axis. @param about what all their titles end in */
export const levelChart =
  (readings: StepReadings, id: string, x: Axis, about: string) =>
  (name: string, { what, worst, chosen, guides = [], ...part }: LevelPart): Chart => ({
    ...part,
    id: `${id}-${name}`,
    title: `${what}: ${about}`,
    x,
    guides,
    marks: [],
    subject: {
      ...subjectOf(readings, true),
      what,
      worst,
      chosen: `Of each run only the channel ${chosen} is drawn.`,
    },
  });

/** One curve a channel. @param pointsOf of the readings of a channel, in the order played */
export const channelCurves = (
  readings: StepReadings,
  pointsOf: (placed: readonly ReadingAtPoint[]) => ChartPoint[],
): Curve[] =>
  channelsOf(readings).map((channel) => ({
    name: `channel ${channel}`,
    sign: String(channel % 10),
    points: pointsOf(readings.channels.get(channel)!),
  }));

/** Below this share of the value an uncertainty does not reach the figures that are printed. */
const LEAST_SHARE = 5e-3;

/**
 * A reading as a point of a chart, with what is read off it: `channel 1: 20 Hz, 99.80 W ± 0.23 W, 28.3 V, THD+N 0.1 %`.
 *
 * @param at where on the axis it stands, if that is neither its power nor its THD+N
 */
export function readingPoint(
  { reading }: ReadingAtPoint,
  { x, y, within = null }: { readonly x: number; readonly y: number; readonly within?: number | null },
  at: string | null = null,
): ChartPoint {
  return {
    x,
    y,
    within,
    doubtful: isDoubtful(reading),
    // Made when it is asked for: words for thousands of points without a marker would take most of the time of a report.
    get hint() {
      const { channel, power_W, uncertainty_W, voltage_V, thdn_percent, flags } = reading;
      const { thdn_uncertainty_percent: distortion } = reading;
      const stated = distortion !== null && distortion >= LEAST_SHARE * thdn_percent ? distortion : null;
      const parts = [
        ...(at === null ? [] : [at]),
        formatUncertain(power_W, uncertainty_W, 'W'),
        formatQuantity(voltage_V, 'V'),
        `THD+N ${formatUncertain(thdn_percent, stated, '%')}`,
      ];
      return [typeset(`channel ${channel}: ${parts.join(', ')}`), ...flags].join('; ');
    },
  };
}
