import { describe, expect, it } from 'vitest';
import { parseClaim } from '../../../src/judgement/claim/claim-text.js';
import { protocolCheck } from '../../../src/judgement/protocol/protocol-check.js';
import { NO_FINDING, OPTIONAL_RATING_LABEL, TRADE_RULE } from '../../../src/judgement/protocol/trade-rule.js';
import type { HoldResult } from '../../../src/record/old-results.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { madeRun, type Step } from '../made-run.js';

const CLAIM = parseClaim('100 W per channel, 8 ohm, 20 Hz to 20 kHz, 1 % THD+N, 2 channels');
const FREQUENCIES = [20, 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000, 20_000];

interface Conditions {
  readonly warmUp_W?: number;
  readonly warmUp_s?: number;
  readonly hold_s?: number;
  readonly driven?: readonly number[];
  readonly load_ohm?: number;
  readonly from_W?: number;
  readonly frequencies?: readonly number[];
}

/** A run as the rule wants it, but for what a test changes. */
function run({
  warmUp_W = 12.5,
  warmUp_s = 3600,
  hold_s = 300,
  driven = [1, 2],
  load_ohm = 8,
  from_W = 0.25,
  frequencies = FREQUENCIES,
}: Conditions = {}): RunRecord {
  const place = { driven, load_ohm };
  const warm: Step = {
    step: 'warm',
    kind: 'warm-up',
    nominal_Hz: 1000,
    ...place,
    every_s: warmUp_s / 10,
    trials: Array.from({ length: 11 }, () => ({ power_W: warmUp_W, percent: 0.01 })),
  };
  const holds = frequencies.map(
    (nominal_Hz): Step => ({
      step: `hold-${nominal_Hz}`,
      kind: 'hold',
      nominal_Hz,
      ...place,
      trials: [{ power_W: 100, percent: 0.02 }],
    }),
  );
  const climb: Step = {
    step: 'levels',
    kind: 'climb',
    nominal_Hz: 1000,
    ...place,
    trials: [
      { power_W: from_W, percent: 0.1 },
      { power_W: 100, percent: 0.02 },
    ],
  };
  const results = holds.map(
    ({ step, nominal_Hz }): HoldResult => ({
      ...{ kind: 'hold', step, channel: 1, ...place, frequency_Hz: nominal_Hz * 1.0005, seconds: hold_s },
      ...{
        first_W: 100,
        last_W: 100,
        least_W: 100,
        dip_dB: 0,
        most_thdn_percent: 0.02,
        most_dc_V: 0,
        note: '',
      },
    }),
  );
  return madeRun([warm, ...holds, climb], results);
}

const stateOf = (record: RunRecord, condition: string, claim: typeof CLAIM | null = CLAIM) =>
  protocolCheck(record, claim).conditions.find((one) => one.condition === condition)!.state;

describe('TRADE_RULE', () => {
  it('holds the figures of 16 CFR Part 432 as amended in 2024 (89 FR 49797; dwell and preconditioning from memory)', () => {
    expect(TRADE_RULE).toMatchObject({
      load_ohm: 8,
      low_Hz: 20,
      high_Hz: 20_000,
      limit_percent: 1,
      from_W: 0.25,
      channels: 2,
      preconditioning: { share: 0.125, seconds: 3600, frequency_Hz: 1000 },
      dwell_s: 300,
      ambient_degC: 25,
    });
  });

  it('has the label of 432.4(a) to the letter (89 FR 49802)', () => {
    expect(OPTIONAL_RATING_LABEL).toBe('This rating was not tested under the FTC standard');
  });
});

describe('protocolCheck', () => {
  it('finds every condition met that a run can show, and the surroundings not recorded', () => {
    const { conditions, statement } = protocolCheck(run(), CLAIM);
    const open = conditions
      .filter(({ state }) => state !== 'met')
      .map(({ condition, state }) => [condition, state]);
    expect(open).toEqual([
      ['ambient', 'not recorded'],
      ['mains', 'not recorded'],
      ['mains frequency', 'not recorded'],
      ['input used', 'not recorded'],
    ]);
    expect(statement).toBe(NO_FINDING);
    expect(statement).toContain('not a legal finding');
  });

  it.each<[string, Conditions]>([
    ['load', { load_ohm: 4 }],
    ['band', { frequencies: [40, 1000, 20_000] }],
    ['levels', { from_W: 0.3 }],
    ['channels driven', { driven: [1] }],
    ['preconditioning', { warmUp_W: 10 }],
    ['preconditioning', { warmUp_s: 1800 }],
    ['time at the rated power', { hold_s: 60 }],
    ['time at the rated power', { frequencies: [40, 1000, 20_000] }],
  ])('finds %s not met with %j', (condition, changed) => {
    expect(stateOf(run(changed), condition)).toBe('not met');
  });

  it('says from where to where climbs went, and when there was none', () => {
    const found = (record: RunRecord) =>
      protocolCheck(record, CLAIM).conditions.find(({ condition }) => condition === 'levels')!.found;
    expect(found(run())).toMatch(/^1 of 1 climb into 8 ohm went from 250 mW to \d+ W$/);
    expect(found(run({ from_W: 0.3 }))).toMatch(/^0 of 1 climb into 8 ohm went from 250 mW/);
    expect(found({ ...run(), readings: [] })).toBe('no climb into 8 ohm');
  });

  it('cannot say anything of levels and preconditioning without a rated power', () => {
    for (const condition of ['rated quantity', 'levels', 'preconditioning'])
      expect(stateOf(run(), condition, null)).toBe('not recorded');
  });

  it('quotes what the operator confirmed, and does not call it a record', () => {
    const text = 'Is the air still and at least 25 °C (77 °F), with no fan but the unit’s own?';
    const asked = {
      ...run(),
      events: [
        {
          at_s: 0,
          kind: 'answered' as const,
          subjects: ['ambient' as const],
          text,
          answer: 'confirmed' as const,
        },
      ],
    };
    const ambient = protocolCheck(asked, CLAIM).conditions.find(({ condition }) => condition === 'ambient')!;
    expect(ambient).toMatchObject({
      state: 'not recorded',
      found: `not measured; asked of the operator: ${text} Confirmed.`,
    });
  });

  it.each([
    [25, 'met'],
    [24.9, 'not met'],
  ])('goes by a probe of the room: %d degC is %s', (value, expected) => {
    const probes = [{ at_s: 0, probe: 'room', unit: 'degC', value }];
    expect(stateOf({ ...run(), probes }, 'ambient')).toBe(expected);
  });

  it('names the source of every condition', () => {
    for (const { source } of protocolCheck(run(), CLAIM).conditions) expect(source).toMatch(/16 CFR 432/);
  });
});
