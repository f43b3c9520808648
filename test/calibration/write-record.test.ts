import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { DraftRecord, DraftValue } from '../../src/calibration/draft-record.js';
import { type FiledRecord, readRecord } from '../../src/calibration/record-file.js';
import { sealOf } from '../../src/calibration/seal.js';
import { recordFileName, recordText } from '../../src/calibration/write-record.js';
import { DocumentError } from '../../src/schema/document-error.js';

const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: null });
/** Nothing that a bench deals with is smaller than 1e-12 of its unit. */
const between = (min: number, max: number) =>
  fc.double({ min, max, noNaN: true }).map((value) => (Math.abs(value) < 1e-12 ? 0 : value));
const word = fc.stringMatching(/^[ -~µΩ±]{1,40}$/);
const lines = fc
  .array(fc.stringMatching(/^[ -~]{0,40}$/), { minLength: 1, maxLength: 4 })
  .map((all) => all.join('\n'));
const channel = fc.integer({ min: 1, max: 64 });

const circumstances = {
  date: fc.constantFrom('2026-01-05', '2024-02-29'),
  due: maybe(fc.constantFrom('2026-01-05', '2031-12-31')),
  instrument: maybe(word),
  serial: maybe(fc.oneof(word, fc.constantFrom('0042', '1e3', 'null', 'seal: 1', '# 1', '- a', '"'))),
  by: maybe(word),
  temperature_C: maybe(between(-20, 300)),
  notes: maybe(lines.filter((text) => text !== '')),
  bench: maybe(word),
};

const basis = {
  uncertainty: fc.record({
    standard_percent: between(1e-6, 100),
    freedom: maybe(between(1, 1e6)),
  }),
  linearityLimits_percent: maybe(between(0, 1)),
  stabilityLimits_percent: maybe(between(0, 1)),
};

const volts = fc.record({
  kind: fc.constantFrom('output' as const, 'input' as const),
  channel,
  value: between(0.02, 900),
  ...circumstances,
  ...basis,
});
const ratio = fc.record({
  kind: fc.constant('attenuator' as const),
  channel,
  value: between(1, 99_999),
  ...circumstances,
  ...basis,
});
const shunt = fc.record({
  kind: fc.constant('shunt' as const),
  channel,
  value: between(1e-4, 9.9),
  ...circumstances,
  ...basis,
});
const load = fc
  .record({
    kind: fc.constant('load' as const),
    channel,
    nominal_ohm: fc.constantFrom(2, 4, 6, 8, 16, 0.5),
    value: between(0.72, 1.4),
    tempco_per_K: maybe(between(-1e-3, 1e-2)),
    heating_K_per_W: maybe(between(0, 100)),
    warmingLimits: maybe(between(0, 1)),
    inductance_H: maybe(between(0, 0.09)),
    ...circumstances,
    ...basis,
  })
  .map((draft) => ({ ...draft, value: draft.value * draft.nominal_ohm }));
const floor = fc.record({
  kind: fc.constant('floor' as const),
  points: fc.uniqueArray(
    fc.record({
      frequency_Hz: between(1, 96_000),
      level_dB: between(-120, 0),
      thdn_percent: between(1e-7, 99),
    }),
    { minLength: 1, maxLength: 8, selector: ({ frequency_Hz }) => frequency_Hz.toPrecision(7) },
  ),
  noise_V: maybe(between(1e-9, 1)),
  ...circumstances,
});
const response = fc.record({
  kind: fc.constant('response' as const),
  channel,
  points: fc
    .tuple(
      fc.constantFrom([20, 1000, 20_000], [1000, 1001.5], [31.5, 100, 1000]),
      fc.array(fc.record({ level_dB: between(-40, 10), uncertainty_dB: between(0, 1) }), {
        minLength: 3,
        maxLength: 3,
      }),
    )
    .map(([frequencies, levels]) =>
      frequencies.map((frequency_Hz, i) => ({
        frequency_Hz,
        ...levels[i]!,
        level_dB: frequency_Hz === 1000 ? 0 : levels[i]!.level_dB,
      })),
    ),
  ...circumstances,
});
const drafts: fc.Arbitrary<DraftRecord> = fc.oneof(volts, ratio, shunt, load, floor, response);

/** Nine significant figures were written. */
const near = (value: number) => expect.toSatisfy((got) => Math.abs(got - value) <= 1e-8 * Math.abs(value));
const nearOrNull = (value: number | null) => (value === null ? null : near(value));

function expected(draft: DraftRecord): Partial<FiledRecord> {
  const common = { temperature_C: nearOrNull(draft.temperature_C) };
  switch (draft.kind) {
    case 'floor': {
      const points = draft.points.map((point) => ({
        frequency_Hz: near(point.frequency_Hz),
        level_dB: near(point.level_dB),
        thdn_percent: near(point.thdn_percent),
      }));
      return { ...common, channel: null, value: null, stated: null, floor: { kind: 'measured', points } };
    }
    case 'response': {
      const points = draft.points.map((point) => ({
        frequency_Hz: near(point.frequency_Hz),
        level_dB: near(point.level_dB),
        uncertainty_dB: near(point.uncertainty_dB),
      }));
      return { ...common, channel: draft.channel, value: null, stated: null, response: { points } };
    }
    default: {
      const { uncertainty, linearityLimits_percent, stabilityLimits_percent } = draft;
      const limits = [linearityLimits_percent, stabilityLimits_percent].filter((half) => half !== null);
      const stated = [
        { standard_percent: near(uncertainty!.standard_percent), freedom: nearOrNull(uncertainty!.freedom) },
        ...limits.map((half) => ({ standard_percent: near(half / Math.sqrt(3)) })),
      ].map((contribution) => expect.objectContaining(contribution));
      return { ...common, channel: draft.channel, value: near(draft.value), stated, load: loadOf(draft) };
    }
  }
}

/** What is null in a draft is not written at all. */
function loadOf(draft: DraftRecord) {
  if (draft.kind !== 'load') return null;
  const { nominal_ohm, tempco_per_K, heating_K_per_W, warmingLimits, inductance_H } = draft;
  const written = {
    nominal: nominal_ohm,
    tempco: tempco_per_K,
    heating: heating_K_per_W,
    warming_limits: warmingLimits,
    inductance: inductance_H,
  };
  const given = Object.entries(written).filter(([, value]) => value !== null);
  return expect.objectContaining(Object.fromEntries(given.map(([key, value]) => [key, near(value!)])));
}

const OUTPUT: DraftValue = {
  kind: 'output',
  channel: 1,
  value: 2.003 * Math.SQRT2,
  uncertainty: { standard_percent: 0.05, freedom: 8 },
  linearityLimits_percent: 0.01,
  stabilityLimits_percent: null,
  date: '2026-03-01',
  due: null,
  instrument: 'meter',
  serial: '0042',
  by: 'somebody',
  temperature_C: 23,
  notes: 'One line.\nAnother: with a colon.',
  bench: 'Left bench',
};

describe('recordText', () => {
  it('is a file that a person can read', () => {
    const text = recordText(OUTPUT);
    expect(
      text.replace(/seal: .*/, 'seal: ...'),
    ).toBe(`# Calibration record. Do not edit it: measure again and keep both. The seal shows a change.
kind: output
channel: 1
value: 2.003 V rms
uncertainty: 0.05 %
freedom: 8
linearity: 0.01 %
bench: Left bench
instrument: meter
serial: "0042"
by: somebody
date: 2026-03-01
temperature: 23 degC
notes: |-
  One line.
  Another: with a colon.
seal: ...
`);
  });

  it('refuses a draft that no reader would take', () => {
    expect(() => recordText({ ...OUTPUT, due: '2026-02-28' })).toThrow(
      'the new record:13:6: due: due on 2026-02-28, before its own date 2026-03-01',
    );
    expect(() => recordText({ ...OUTPUT, instrument: 'x'.repeat(201) })).toThrow(
      'instrument: the text is longer',
    );
  });

  it('reads back to what was drafted, whatever it says', () => {
    fc.assert(
      fc.property(drafts, (draft) => {
        const text = recordText(draft);
        const filed = readRecord(text, 'r.yaml', 'r');
        expect(filed).toMatchObject(expected(draft));
        expect(filed.record).toMatchObject({ kind: draft.kind, date: draft.date, due: draft.due, text });
      }),
      { seed: 5, numRuns: 600 },
    );
  });
});

describe('a seal', () => {
  const text = recordText(OUTPUT);
  const refused = (changed: string) => {
    try {
      readRecord(changed, 'r.yaml', 'r');
    } catch (error) {
      if (error instanceof DocumentError) return error.message;
      throw error;
    }
    return null;
  };
  const message =
    'seal: the record was changed after it was written: its seal does not fit its text; calibrate again rather than edit; or take the seal line out and answer for the change';

  it('is the SHA-256 of the text before it', () => {
    const before = text.slice(0, text.indexOf('seal:'));
    expect(text).toBe(`${before}seal: ${createHash('sha256').update(before).digest('hex')}\n`);
  });

  it('breaks when a value was changed, and nothing else is complained about then', () => {
    expect(refused(text.replace('2.003 V rms', '2.013 V rms'))).toContain(message);
    expect(refused(text.replace('2.003 V rms', '2.013 V'))).toBe(`r.yaml:17:7: ${message}.`);
  });

  it('breaks with any edit of a character that can be seen', () => {
    const visible = [...text].flatMap((character, i) =>
      /\S/.test(character) && i < text.indexOf('seal:') ? [i] : [],
    );
    fc.assert(
      fc.property(fc.constantFrom(...visible), fc.constantFrom('7', 'x', ''), (at, put) => {
        fc.pre(text[at] !== put);
        const changed = text.slice(0, at) + put + text.slice(at + 1);
        expect(refused(changed)).not.toBeNull();
      }),
      { seed: 8, numRuns: 300 },
    );
  });

  it('breaks when it is no seal, or another one', () => {
    for (const seal of ['1', 'yes', '{a: 1}', '[]', '0'.repeat(64), `${sealOf(text)}0`, ''])
      expect(refused(text.replace(/seal: .*/, `seal: ${seal}`))).toContain(message);
  });

  it('holds whatever ends the lines, and where a byte order mark or blank lines were added', () => {
    expect(refused(text.replaceAll('\n', '\r\n'))).toBeNull();
    expect(refused(`\ufeff${text}\n\n`)).toBeNull();
  });

  it('can be taken out, and then the record counts as written by hand', () => {
    expect(refused(text.replace(/seal: .*\n/, '').replace('2.003', '2.013'))).toBeNull();
  });
});

describe('recordFileName', () => {
  it('has the day, and a number for each further one of that day', () => {
    const taken: string[] = [];
    for (let i = 0; i < 3; i++) taken.push(recordFileName('left-load', '2026-03-01', taken));
    expect(taken).toEqual([
      'left-load-2026-03-01.yaml',
      'left-load-2026-03-01-2.yaml',
      'left-load-2026-03-01-3.yaml',
    ]);
    expect(recordFileName('left-load', '2026-03-02', taken)).toBe('left-load-2026-03-02.yaml');
  });
});
