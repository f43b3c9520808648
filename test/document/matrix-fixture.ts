import type { CauseResult, CeilingResult, Result } from '../../src/record/old-results.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { resultsIn, withResults } from '../record/results.js';
import { invented } from './fixture.js';

const FREQUENCIES_HZ = [20, 40, 80, 160, 315, 630, 1000, 2000, 4000, 8000, 16_000, 20_000];

/** Least at 20 Hz, the second channel a watt lower; 4 ohm give 1.8 times as much. */
const ceiling_W = (nominal_Hz: number, channel: number, load_ohm: number): number =>
  (load_ohm === 4 ? 1.8 : 1) * (nominal_Hz === 20 ? 61 - channel : 91 - channel);

function ceiling(nominal_Hz: number, channel: number, load_ohm: number): CeilingResult {
  const none = channel === 2 && nominal_Hz === 20_000 && load_ohm === 4;
  const power_W = none ? null : ceiling_W(nominal_Hz, channel, load_ohm);
  return {
    kind: 'ceiling',
    step: `band/${load_ohm}ohm`,
    channel,
    driven: [1, 2],
    load_ohm,
    nominal_Hz,
    frequency_Hz: nominal_Hz * 1.0003,
    threshold_percent: 0.1,
    power_W,
    uncertainty_W: power_W === null ? null : 0.008 * power_W,
    bracket_dB: power_W === null ? null : 0.03,
    captures: 4,
    flags: nominal_Hz === 16_000 ? ['harmonics-out-of-band'] : [],
    note: none ? 'THD+N was never below 0.1 %, at best 0.12 % at 3.4 W' : '',
  };
}

const SAG: CauseResult = {
  kind: 'cause',
  step: 'band/8ohm',
  channel: 2,
  driven: [1, 2],
  load_ohm: 8,
  nominal_Hz: 20,
  frequency_Hz: 20.006,
  causes: [
    {
      cause: 'supply-sag',
      confidence: 0.87,
      evidence: ['the tops move by 4 % at 100 Hz', 'the tops <b>stop</b> at 34 V'],
    },
    { cause: 'rail-clipping', confidence: 0.13, evidence: ['the tops <b>stop</b> at 34 V'] },
  ],
};

const results = (): Result[] => [
  ...[8, 4].flatMap((load_ohm) =>
    FREQUENCIES_HZ.flatMap((nominal_Hz) => [1, 2].map((channel) => ceiling(nominal_Hz, channel, load_ohm))),
  ),
  SAG,
  ...[1, 2].map(
    (channel): Result => ({
      kind: 'hold',
      step: 'stay',
      channel,
      driven: [1, 2],
      load_ohm: 8,
      frequency_Hz: 1000,
      seconds: 300,
      first_W: 50,
      last_W: 48,
      least_W: 47.5,
      dip_dB: 0.21,
      most_thdn_percent: 0.034,
      most_dc_V: 0.0042,
      note: 'load 22 K above the room at the end, by its model',
    }),
  ),
  {
    kind: 'sum',
    step: 'climb-1k',
    channel: 0,
    driven: [1, 2],
    load_ohm: 8,
    threshold_percent: 0.1,
    frequency_Hz: 1000,
    power_W: 178,
    uncertainty_W: 1.4,
    first_channel: 2,
    note: '',
  },
];

/** The invented run with ceilings into two loads, a cause, a hold, a sum, probes, a permit and a second session. */
export function inventedMatrix(): RunRecord {
  const run = invented();
  const [point, reading] = [run.points[0]!, run.readings[0]!];
  const number = run.points.length;
  const held = [0, 100, 200, 300].map((at_s, i) => ({ at_s: 200 + at_s, number: number + 1 + i }));
  const matrix = {
    ...run,
    points: [
      ...run.points,
      ...[8, 4].map((load_ohm, i) => ({
        ...point,
        number: number + 5 + i,
        step: `band/${load_ohm}ohm`,
        stepKind: 'max-power' as const,
        load_ohm,
        mains_V: 230,
        cell: `${load_ohm} ohm`,
      })),
      ...held.map((one) => ({ ...point, ...one, step: 'stay', stepKind: 'hold' as const })),
    ],
    readings: [
      ...run.readings,
      ...held.flatMap((one) =>
        [1, 2].map((channel) => ({
          ...reading,
          point: one.number,
          step: 'stay',
          channel,
          power_W: 50 - one.at_s / 150,
        })),
      ),
    ],
    permit: {
      id: 'P-7',
      sequence: 'Full band',
      sequence_sha256: 'a'.repeat(64),
      bench: 'Left bench',
      bench_fingerprint: 'b'.repeat(64),
      claim: null,
      by: 'R. Example',
      signed: '2031-03-04T09:00:00Z',
      expires: '2031-03-06T09:00:00Z',
      worst: {},
      checklist: [],
    },
    sessions: [
      {
        number: 2,
        started: '2031-03-05T07:10:00Z',
        at_s: 150,
        first_point: 31,
        before: 'interrupted',
        permit: 'P-8',
      },
    ],
    probes: [20, 40, 60, 80].map((at_s) => ({
      at_s,
      probe: 'heatsink',
      unit: 'degC',
      value: at_s === 60 ? null : 25 + at_s / 10,
    })),
  };
  return withResults(matrix, [...resultsIn(run), ...results()]);
}
