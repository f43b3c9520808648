import fc from 'fast-check';
import type { Budget } from '../../src/measure/budget.js';
import { FLAGS, type FlagCode } from '../../src/measure/flags.js';
import type { Result } from '../../src/record/old-results.js';
import type { Point, Reading, RunEventRecord } from '../../src/record/run-record.js';
import {
  inventedBench,
  inventedPlan,
  inventedReading,
  inventedRecord,
  type RunContent,
} from './invented-run.js';

// SQLite keeps no negative zero: it comes back as zero, which no reading can tell apart.
const number = fc.double({ noNaN: true }).map((value) => (Object.is(value, -0) ? 0 : value));
const figure = fc.oneof({ weight: 4, arbitrary: number }, fc.constant(Number.NaN));
const maybe = fc.option(number);
const text = fc.string({ unit: 'binary', maxLength: 40 });
const channels = fc.uniqueArray(fc.integer({ min: 1, max: 64 }), { minLength: 1, maxLength: 4 });
const flags = fc.subarray(Object.keys(FLAGS) as FlagCode[]);
const label = fc
  .string({ unit: 'grapheme', minLength: 1, maxLength: 60 })
  .map((value) => `unit ${value}`.trim());

const point: fc.Arbitrary<Point> = fc.record({
  number: fc.constant(1),
  step: text,
  stepKind: fc.constantFrom('climb' as const, 'sweep' as const),
  mains_V: maybe,
  cell: text,
  nominal_Hz: number,
  frequency_Hz: number,
  driven: channels,
  load_ohm: number,
  level_dB: number,
  asked_W: maybe,
  at_s: number,
});

const reading = (of: Point, channel: number): fc.Arbitrary<Reading> => {
  const { number: _, step, load_ohm, ...fixed } = of;
  return fc
    .record({
      power_W: figure,
      uncertainty_W: maybe,
      voltage_uncertainty_V: maybe,
      thdn_uncertainty_percent: maybe,
      current_A: maybe,
      load_seen_ohm: maybe,
      voltage_V: figure,
      fundamental_V: figure,
      dc_V: figure,
      crest_factor: figure,
      thd_percent: maybe,
      thdr_percent: maybe,
      thdn_percent: figure,
      sinad_dB: figure,
      harmonics_in_band: fc.nat(19),
      band_Hz: fc.tuple(figure, figure),
      gain_dB: figure,
      method: fc.constantFrom('coherent' as const, 'fitted' as const),
      flags,
      gaps: fc.array(fc.record({ frame: fc.nat(), slip_frames: fc.option(fc.integer()) })),
      harmonics: fc
        .nat(19)
        .chain((count) =>
          fc.tuple(
            ...Array.from({ length: count }, (_unused, index) =>
              fc.record({ order: fc.constant(index + 2), frequency_Hz: figure, rms: figure }),
            ),
          ),
        ),
      spectrum: fc.option(
        fc.record({ frequency_Hz: fc.array(figure), level_dB: fc.array(figure) }, { noNullPrototype: true }),
      ),
    })
    .map((drawn) => ({
      ...inventedReading(of, channel),
      ...drawn,
      step,
      load_ohm,
      frequency_Hz: fixed.frequency_Hz,
    }));
};

const budget: fc.Arbitrary<Budget> = fc.record({
  quantity: fc.constantFrom('power' as const, 'thdn' as const),
  value: figure,
  unit: fc.constantFrom('W' as const, '%' as const),
  components: fc.array(
    fc.record({
      source: text,
      type: fc.constantFrom('A' as const, 'B' as const),
      distribution: fc.constantFrom('normal' as const, 'rectangular' as const),
      standard_percent: figure,
      freedom: maybe,
      sensitivity: figure,
    }),
    { maxLength: 3 },
  ),
  missing: fc.array(text, { maxLength: 2 }),
  standard_percent: maybe,
  freedom: maybe,
  coverage_factor: figure,
  expanded_percent: maybe,
  expanded: maybe,
});

const place = { step: text, channel: fc.integer({ min: 1, max: 64 }), driven: channels, load_ohm: number };

const result: fc.Arbitrary<Result> = fc.oneof(
  fc.record({
    kind: fc.constant('power-at-thdn' as const),
    ...place,
    threshold_percent: figure,
    frequency_Hz: figure,
    power_W: maybe,
    uncertainty_W: maybe,
    bracket_dB: maybe,
    note: text,
    budgets: fc.array(budget, { maxLength: 2 }),
  }),
  fc.record({
    kind: fc.constant('knee' as const),
    ...place,
    frequency_Hz: figure,
    power_W: maybe,
    uncertainty_W: maybe,
    plateau_percent: maybe,
    governed_by: fc.constantFrom('noise' as const, 'harmonics' as const, null),
    hardness_dB: maybe,
    note: text,
  }),
  fc.record({
    kind: fc.constant('band' as const),
    ...place,
    low_Hz: figure,
    high_Hz: figure,
    least_power_W: figure,
    least_power_Hz: figure,
    least_power_uncertainty_W: maybe,
    most_thdn_uncertainty_percent: maybe,
    most_thdn_percent: figure,
    most_thdn_Hz: figure,
    flags,
  }),
);

const event: fc.Arbitrary<RunEventRecord> = fc.record({ at_s: number, kind: text, text });

const measured = fc
  .array(point, { maxLength: 4 })
  .map((points) => points.map((one, index) => ({ ...one, number: index + 1 })))
  .chain((points) => {
    const readings = points.flatMap((one) => one.driven.map((channel) => reading(one, channel)));
    return fc.record({ points: fc.constant(points), readings: fc.tuple(...readings) });
  });

const answer = fc.record({
  item: text,
  answer: text,
  by: text,
  at: fc.date({ noInvalidDate: true }).map((date) => date.toISOString()),
});

const calibration = fc
  .uniqueArray(text, { maxLength: 3 })
  .map((texts) => texts.map((one, index) => inventedRecord(`record-${index}`, 'load', one)));

/** Any run that the types allow: every kind of result, any text, any number. */
export const arbitraryRun: fc.Arbitrary<RunContent> = fc
  .record({ label, name: text, bench: text, plan: text, sequence: text, calibration, version: text })
  .chain((head) =>
    fc
      .record({ measured, results: fc.array(result), events: fc.array(event), checklist: fc.array(answer) })
      .map(({ measured: { points, readings }, ...rest }) => ({
        unit: { label: head.label },
        bench: inventedBench(head.name, head.bench, head.calibration),
        plan: inventedPlan(head.plan, head.sequence),
        version: head.version,
        points,
        readings,
        ...rest,
      })),
  );
