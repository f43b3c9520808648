import { createHash } from 'node:crypto';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import type { CalibrationRecord } from '../../src/calibration/chain.js';
import type { StoredFinding } from '../../src/record/finding.js';
import { findingsOfResults } from '../../src/record/findings-of-results.js';
import type { Result } from '../../src/record/old-results.js';
import type { Outcome } from '../../src/record/outcome.js';
import type { Point, Reading, RunRecord } from '../../src/record/run-record.js';
import type { Plan } from '../../src/sequence/plan.js';
import type { RunStart } from '../../src/store/contract/run-store.js';
import type { SqliteRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { plainChain } from '../calibration/plain-chain.js';

/** Everything here is invented: no such unit, bench or reading exists. */

const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex');

export function inventedRecord(id: string, kind: CalibrationRecord['kind'], text: string): CalibrationRecord {
  return { id, kind, text, sha256: sha256(text), date: null, due: null };
}

export function inventedBench(name: string, text: string, records: readonly CalibrationRecord[]): BenchSetup {
  return {
    name,
    kind: 'simulated',
    interface: { kind: 'simulated', twinPath: 'twin.yaml', seed: 1 },
    rate_Hz: 192_000,
    channels: [1, 2].map((channel) =>
      plainChain(channel, {
        outputFullScale_Vpk: 2,
        inputFullScale_Vpk: 2,
        attenuator_ratio: 40,
        attenuatorRating_Vpk: 200,
        records,
      }),
    ),
    assumedGain_dB: 40,
    dcLimit_V: 2,
    floor: null,
    energises: false,
    clock: 'virtual',
    clockLimits_ppm: null,
    day: '2026-03-01',
    path: 'bench.yaml',
    text,
    sha256: sha256(text),
  };
}

export function inventedPlan(name: string, text: string): Plan {
  const worst = {
    voltage_Vrms: 40,
    voltage_Vpk: 57,
    current_Apk: 7,
    power_W: 200,
    total_W: 400,
    heat_J: 9000,
  };
  return {
    name,
    about: 'an invented plan',
    steps: [],
    estimate: { points: 1, seconds: 1, worst, loads: [], energy_J: 0, visits: 0 },
    sequence: { text, sha256: sha256(text) },
  };
}

export function inventedPoint(number: number): Point {
  return {
    number,
    step: 'climb-1k',
    stepKind: 'climb',
    nominal_Hz: 1000,
    frequency_Hz: 999.755859375,
    driven: [1, 2],
    load_ohm: 8,
    mains_V: number === 2 ? 230 : null,
    cell: number === 2 ? '8 ohm, all' : '',
    level_dB: -60 + number / 7,
    asked_W: number === 1 ? null : number / 3,
    at_s: number * 0.7,
  };
}

export function inventedReading(point: Point, channel: number): Reading {
  const voltage_V = Math.sqrt(point.number) * (1 + channel / 1000);
  return {
    point: point.number,
    step: point.step,
    channel,
    frequency_Hz: point.frequency_Hz,
    load_ohm: point.load_ohm,
    load_measured_ohm: 8.013,
    power_W: voltage_V ** 2 / 8.013,
    uncertainty_W: channel === 1 ? voltage_V / 100 : null,
    voltage_uncertainty_V: 0.125,
    current_A: 2.5,
    load_seen_ohm: null,
    thdn_uncertainty_percent: 0.001,
    voltage_V,
    fundamental_V: voltage_V * 0.9999,
    noise_V: 31e-6,
    dc_V: -0.0021,
    peak_V: voltage_V * Math.SQRT2,
    crest_factor: Math.SQRT2,
    thd_percent: 0.0123,
    thdr_percent: 0.01229,
    thdn_percent: 0.0131,
    sinad_dB: 77.65,
    harmonics: [2, 3, 4].map((order) => ({
      order,
      frequency_Hz: order * point.frequency_Hz,
      rms: voltage_V / 1e4 / order,
    })),
    harmonics_in_band: 3,
    band_Hz: [20, 20_000],
    gain_dB: 28.6,
    method: 'coherent',
    flags: channel === 1 ? [] : ['near-input-rail', 'uncalibrated'],
    gaps: channel === 1 ? [] : [{ frame: 777, slip_frames: null }],
    capture: null,
    spectrum:
      point.number % 2 === 0
        ? { frequency_Hz: [20, 1000.1, 20_000], level_dB: [-123.4, 0, Number.NEGATIVE_INFINITY] }
        : null,
  };
}

const place = { step: 'climb-1k', driven: [1, 2], load_ohm: 8 };

const inventedResults: readonly Result[] = [
  {
    kind: 'power-at-thdn',
    ...place,
    channel: 1,
    threshold_percent: 0.1,
    frequency_Hz: 999.755859375,
    power_W: 100.858,
    uncertainty_W: 1.2,
    bracket_dB: 0.04,
    note: '',
  },
  {
    kind: 'power-at-thdn',
    ...place,
    channel: 2,
    threshold_percent: 1,
    frequency_Hz: 999.755859375,
    power_W: null,
    uncertainty_W: null,
    bracket_dB: null,
    note: 'the threshold was not crossed up to 200 W',
  },
  {
    kind: 'knee',
    ...place,
    channel: 1,
    frequency_Hz: 999.755859375,
    power_W: 92.1,
    plateau_percent: 0.0031,
    governed_by: 'harmonics',
    hardness_dB: 0.165,
    note: '',
  },
  {
    kind: 'band',
    ...place,
    step: 'band',
    channel: 1,
    low_Hz: 20,
    high_Hz: 20_000,
    least_power_W: 61.7,
    least_power_Hz: 20.1,
    most_thdn_percent: 1.7,
    most_thdn_Hz: 19_900,
    flags: ['power-not-reached'],
  },
];

/** What a run is made of, less what the store itself gives: number, times, and the names of captures. */
export type RunContent = RunStart &
  Pick<RunRecord, 'points' | 'readings' | 'events'> & { readonly findings: readonly StoredFinding[] };

export function inventedRun(label = 'Invented two-channel unit, no. 1', points = 3): RunContent {
  const settings = Array.from({ length: points }, (_, index) => inventedPoint(index + 1));
  return {
    unit: { label },
    bench: inventedBench('invented bench', 'name: invented bench\n', [
      inventedRecord('load-1', 'load', 'value: 8.013 ohm\n'),
      inventedRecord('attenuator-1', 'attenuator', 'value: 40\n'),
    ]),
    plan: inventedPlan('rated power', 'name: rated power\n'),
    version: '0.1.0',
    checklist: [
      {
        item: 'Is the load rated for 200 W?',
        answer: 'yes',
        by: 'An Operator',
        at: '2026-03-01T10:00:00.000Z',
      },
      {
        item: 'Is the way to cut mains at hand?',
        answer: 'yes',
        by: 'An Operator',
        at: '2026-03-01T10:00:09.000Z',
      },
    ],
    points: settings,
    readings: settings.flatMap((point) => [1, 2].map((channel) => inventedReading(point, channel))),
    findings: findingsOfResults(inventedResults, settings),
    events: [
      { at_s: 0, kind: 'step-entered', step: 'climb-1k', step_kind: 'climb', entry: 'first' },
      { at_s: 2.1, kind: 'note', topic: 'rest', text: 'the load rests for 3 s' },
    ],
  };
}

/** Plays `content` into the store as a runner's listener would, and returns the run's number. */
export function recordRun(store: SqliteRuns, content: RunContent, outcome: Outcome, reason: string): number {
  const writer = store.createRun(content);
  for (const point of content.points)
    writer.append({
      kind: 'point',
      point: point,
      readings: content.readings.filter((reading) => reading.point === point.number),
    });
  for (const finding of content.findings) writer.append({ kind: 'finding', finding: finding });
  for (const event of content.events) writer.append({ kind: 'event', event: event });
  writer.finish({ outcome: outcome, reason: reason });
  return writer.run;
}

/** The record that must come back for `content`, less run number, times and how it ended. */
export function expectedRecord({ bench, plan, ...content }: RunContent): Partial<RunRecord> {
  const { unit, version, checklist, points, readings, findings, events } = content;
  const records = bench.channels[0]?.records ?? [];
  return {
    version,
    unit,
    bench: {
      name: bench.name,
      kind: bench.kind,
      rate_Hz: bench.rate_Hz,
      text: bench.text,
      sha256: bench.sha256,
    },
    sequence: { name: plan.name, ...plan.sequence },
    calibration: records.map(({ id, kind, text, sha256: hash }) => ({ id, kind, text, sha256: hash })),
    checklist,
    points,
    readings,
    findings,
    events,
    claim: null,
    permit: null,
    sessions: [],
    probes: [],
  };
}
