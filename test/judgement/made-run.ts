import type { FlagCode } from '../../src/measure/flags.js';
import { findingsOfResults } from '../../src/record/findings-of-results.js';
import type { Result } from '../../src/record/old-results.js';
import type { Point, Reading, RunRecord } from '../../src/record/run-record.js';
import { invented } from '../document/fixture.js';

/** One trial of a made run. */
export interface Look {
  readonly power_W: number;
  readonly percent: number;
  readonly channel?: number;
  /** THD where it differs from THD+N. */
  readonly thd_percent?: number;
}

/** One step of a made run at one frequency. */
export interface Step {
  readonly step: string;
  readonly kind: Point['stepKind'];
  readonly nominal_Hz: number;
  readonly trials: readonly Look[];
  readonly load_ohm?: number;
  readonly driven?: readonly number[];
  /** Expanded uncertainty over power; null: not stated. */
  readonly share?: number | null;
  readonly flags?: readonly FlagCode[];
  readonly asked_W?: number;
  /** Seconds from one trial to the next. */
  readonly every_s?: number;
}

const TEMPLATE = invented();
const READING = TEMPLATE.readings[0]!;
const POINT = TEMPLATE.points[0]!;

/** A run of given readings, with results as given: nothing in it is computed. */
export function madeRun(steps: readonly Step[], results: readonly Result[] = []): RunRecord {
  const points: Point[] = [];
  const readings: Reading[] = [];
  let at_s = 0;
  for (const { step, kind, nominal_Hz, trials, flags = [], ...rest } of steps) {
    const { load_ohm = 8, driven = [1, 2], share = 0.01, every_s = 1 } = rest;
    for (const { power_W, percent, channel = driven[0]!, thd_percent = percent } of trials) {
      at_s += every_s;
      const number = points.length + 1;
      const frequency_Hz = nominal_Hz * 1.0005;
      const asked_W = rest.asked_W ?? power_W;
      points.push({
        ...POINT,
        number,
        step,
        stepKind: kind,
        nominal_Hz,
        frequency_Hz,
        driven,
        load_ohm,
        asked_W,
        at_s,
        level_dB: 10 * Math.log10(power_W) - 30,
      });
      readings.push({
        ...READING,
        point: number,
        step,
        channel,
        frequency_Hz,
        load_ohm,
        power_W,
        uncertainty_W: share === null ? null : share * power_W,
        thdn_percent: percent,
        thd_percent,
        thdn_uncertainty_percent: null,
        flags,
      });
    }
  }
  return {
    ...TEMPLATE,
    points,
    readings,
    findings: findingsOfResults(results, points),
    events: [],
    probes: [],
  };
}

/** A climb whose curve crosses a limit at a power, as the runner leaves it: the result, and the two readings around. */
export function climbTo(
  power_W: number,
  limit_percent: number,
  setting: {
    load_ohm?: number;
    driven?: readonly number[];
    channel?: number;
    share?: number | null;
    nominal_Hz?: number;
  } = {},
): { readonly step: Step; readonly result: Result } {
  const { load_ohm = 8, driven = [1, 2], share = 0.01, nominal_Hz = 1000 } = setting;
  const { channel = driven[0]! } = setting;
  const step = `climb-${nominal_Hz}-${load_ohm}-${driven.join('')}-${channel}`;
  const trials = [
    { power_W: power_W * 0.05, percent: limit_percent / 20, channel },
    { power_W: power_W * 0.995, percent: limit_percent * 0.9, channel },
    { power_W: power_W * 1.005, percent: limit_percent * 1.1, channel },
  ];
  return {
    step: { step, kind: 'climb', nominal_Hz, trials, load_ohm, driven, share },
    result: {
      kind: 'power-at-thdn',
      step,
      channel,
      driven,
      load_ohm,
      threshold_percent: limit_percent,
      frequency_Hz: nominal_Hz * 1.0005,
      power_W,
      uncertainty_W: share === null ? null : share * power_W,
      bracket_dB: 0.04,
      note: '',
    },
  };
}

/** A run of climbs alone. */
export function climbs(...made: readonly ReturnType<typeof climbTo>[]): RunRecord {
  return madeRun(
    made.map(({ step }) => step),
    made.map(({ result }) => result),
  );
}
