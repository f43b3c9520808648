import type { Result } from '../../record/old-results.js';
import type { Point, Reading, RunRecord } from '../../record/run-record.js';

/** The readings of one channel in one step of one run, in the order they are drawn. */
export interface Curve {
  readonly run: number;
  /** What the key of a chart calls it. */
  readonly label: string;
  readonly channel: number;
  readonly readings: readonly Reading[];
  /** What the step found on this channel. */
  readonly results: readonly Result[];
}

/** Curves that belong into one picture: the same step, load and driven channels, from one or several runs. */
export interface CurveGroup {
  readonly step: string;
  readonly load_ohm: number;
  readonly driven: readonly number[];
  readonly nominal_Hz: number;
  readonly curves: readonly Curve[];
}

/**
 * Sorts the readings of all runs into pictures. The curves of a climb run from low to high power,
 * those of a sweep from low to high frequency.
 */
export function curveGroups(records: readonly RunRecord[], kind: Point['stepKind']): CurveGroup[] {
  const groups = new Map<string, { first: Point; curves: Curve[] }>();
  for (const record of records) {
    for (const [key, { first, numbers }] of settings(record, kind)) {
      const group = groups.get(key) ?? { first, curves: [] };
      group.curves.push(...curvesOf(record, first, numbers, records.length > 1));
      groups.set(key, group);
    }
  }
  // A run that broke off may hold a point without a reading: nothing to draw.
  const drawable = [...groups.values()].filter(({ curves }) => curves.length > 0);
  return drawable.map(({ first, curves }) => ({
    step: first.step,
    load_ohm: first.load_ohm,
    driven: first.driven,
    nominal_Hz: first.nominal_Hz,
    curves,
  }));
}

function settings(record: RunRecord, kind: Point['stepKind']) {
  const found = new Map<string, { first: Point; numbers: Set<number> }>();
  for (const point of record.points) {
    if (point.stepKind !== kind) continue;
    const key = JSON.stringify([point.step, point.load_ohm, point.driven]);
    const setting = found.get(key) ?? { first: point, numbers: new Set<number>() };
    setting.numbers.add(point.number);
    found.set(key, setting);
  }
  return found;
}

function curvesOf(record: RunRecord, first: Point, numbers: ReadonlySet<number>, several: boolean): Curve[] {
  const by = first.stepKind === 'climb' ? 'power_W' : 'frequency_Hz';
  const byChannel = new Map<number, Reading[]>();
  for (const reading of record.readings) {
    if (!numbers.has(reading.point)) continue;
    const own = byChannel.get(reading.channel);
    if (own) own.push(reading);
    else byChannel.set(reading.channel, [reading]);
  }
  return [...byChannel].map(([channel, readings]) => ({
    run: record.run,
    label: several ? `run ${record.run}, channel ${channel}` : `channel ${channel}`,
    channel,
    readings: readings.sort((a, b) => a[by] - b[by]),
    results: record.results.filter(
      (result) =>
        result.step === first.step && result.channel === channel && result.load_ohm === first.load_ohm,
    ),
  }));
}
