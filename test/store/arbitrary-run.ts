import fc from 'fast-check';
import type { Budget } from '../../src/measure/budget.js';
import { FLAGS, type FlagCode } from '../../src/measure/flags.js';
import type { StoredFinding } from '../../src/record/finding.js';
import { QUANTITIES, type QuantityName, type QuantityTraits } from '../../src/record/quantities.js';
import type { RunEvent } from '../../src/record/run-event.js';
import type { Point, Reading } from '../../src/record/run-record.js';
import { findingSchema } from '../../src/record/schema/finding-schema.js';
import { STEP_KINDS } from '../../src/sequence/step-base.js';
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

const place = { step: text, driven: channels, load_ohm: number, mains_V: maybe, cell: text };
const note = fc.constant<{ code: string }>({ code: 'no-knee' });
const reason = fc.oneof(note, fc.record({ code: fc.constant('in-words'), text }));

/** What a finding of any version has. */
const anyFinding = {
  uncertainty: maybe,
  why: fc.option(reason),
  budgets: fc.array(budget, { maxLength: 2 }),
  points: fc.array(fc.nat(100), { maxLength: 4 }),
  remarks: fc.array(fc.record({ code: fc.constant('load-warm'), rise_K: figure }), { maxLength: 2 }),
};
const played = { lines_Hz: fc.array(figure, { maxLength: 2 }), nominal_Hz: maybe };
const terms = fc.record(
  { threshold_percent: number, over_Hz: fc.tuple(figure, figure), weighting: fc.constantFrom('none', 'A') },
  { requiredKeys: [], noNullPrototype: true },
);

const VALUES: Readonly<Record<QuantityTraits['holds'], fc.Arbitrary<unknown>>> = {
  number: figure,
  intervals: fc.array(fc.tuple(figure, figure), { maxLength: 3 }),
  causes: fc.array(
    fc.record({ cause: fc.constantFrom('heat', 'crossover'), confidence: figure, evidence: fc.array(text) }),
    { maxLength: 2 },
  ),
};

const known: fc.Arbitrary<StoredFinding> = fc
  .constantFrom(...(Object.keys(QUANTITIES) as QuantityName[]))
  .chain((quantity) =>
    fc.record({
      ...anyFinding,
      quantity: fc.constant(quantity),
      statistic: fc.constantFrom(...findingSchema.shape.statistic.options),
      value: fc.option(VALUES[QUANTITIES[quantity].holds]),
      bound: fc.constantFrom('found', 'at-least', 'at-most'),
      setting: fc.record({
        ...place,
        channel: fc.option(fc.integer({ min: 1, max: 64 })),
        step_kind: fc.constantFrom(...STEP_KINDS),
      }),
      stimulus: fc.record({ ...played, envelope: fc.constant({ kind: 'steady' }) }),
      terms,
      flags,
    }),
  );

/** As a later version may leave it. */
const later: fc.Arbitrary<StoredFinding> = known.map((finding) => ({
  ...finding,
  quantity: 'slew-rate',
  value: { rise: [1, 2], fall: null },
  flags: ['of-a-later-version'],
}));

// A run has no infinite moment.
const moment = fc.double({ noNaN: true, noDefaultInfinity: true }).map((value) => value + 0);

const event: fc.Arbitrary<RunEvent> = fc.oneof(
  fc.record({ at_s: moment, kind: fc.constant('note' as const), topic: text, text }),
  fc.record({
    at_s: moment,
    kind: fc.constant('step-entered' as const),
    step: text,
    step_kind: fc.constantFrom(...STEP_KINDS, null),
    entry: fc.constantFrom('first' as const, 'again' as const, 'on' as const),
  }),
  fc.record({
    at_s: moment,
    kind: fc.constant('unknown' as const),
    named: fc.constant('fan-heard'),
    fields: fc.record({ text, loud_dB: figure }, { noNullPrototype: true }),
  }),
);

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

/** Any run that the types allow: every quantity, findings of a later version, any text, any number. */
export const arbitraryRun: fc.Arbitrary<RunContent> = fc
  .record({ label, name: text, bench: text, plan: text, sequence: text, calibration, version: text })
  .chain((head) =>
    fc
      .record({
        measured,
        findings: fc.array(fc.oneof(known, later), { maxLength: 5 }),
        events: fc.array(event),
        checklist: fc.array(answer),
      })
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
