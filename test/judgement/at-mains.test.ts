import { describe, expect, it } from 'vitest';
import { atMains } from '../../src/judgement/at-mains.js';
import { parseClaim } from '../../src/judgement/claim/claim-text.js';
import { protocolCheck } from '../../src/judgement/protocol/protocol-check.js';
import { ratings } from '../../src/judgement/rating/ratings.js';
import { verdict } from '../../src/judgement/verdict/verdict.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { climbs, climbTo } from './made-run.js';

/** 105 W at 120 V and 85 W at 108 V, as far as the mains is set. */
function run(volts: readonly (number | null)[] = [120, 108]): RunRecord {
  const made = [105, 85].slice(0, volts.length).map((power_W, i) => {
    const { step, result } = climbTo(power_W, 1);
    return { step: { ...step, step: `cell-${i}` }, result: { ...result, step: `cell-${i}` } };
  });
  const record = climbs(...made);
  return {
    ...record,
    points: record.points.map((point) => ({ ...point, mains_V: volts[Number(point.step.slice(5))]! })),
  };
}

const CLAIM = '100 W, 8 ohm, 1 %, 1 kHz, 2 channels';
const judged = (text: string, record = run()) => verdict(parseClaim(text), record);
const mains = (record: RunRecord) =>
  protocolCheck(record).conditions.find(({ condition }) => condition === 'mains')!;

describe('a run at several mains voltages', () => {
  it('is judged at the claimed one', () => {
    expect(judged(`${CLAIM}, 120 V mains`)).toMatchObject({
      verdict: 'met',
      deciding: { power_W: 105 },
      not_tested: [],
    });
    expect(judged(`${CLAIM}, 108 V mains`)).toMatchObject({ verdict: 'not met', deciding: { power_W: 85 } });
  });

  it('is judged at the highest when the claim states none, and says so', () => {
    const found = judged(CLAIM);
    expect(found).toMatchObject({ verdict: 'met', deciding: { power_W: 105 } });
    expect(found.taken).toContain('no mains voltage stated: taken as 120 V, the highest of the run');
  });

  it('says when the claimed one was not among them', () => {
    expect(judged(`${CLAIM}, 230 V mains`).not_tested).toEqual(['no mains of 230 V as claimed, but 120 V']);
    expect(judged(`${CLAIM}, 14 V supply`).not_tested).toEqual([
      'the run does not record the voltage of the supply',
    ]);
  });

  it('is rated at the highest', () => {
    const { mains_V, settings } = ratings(run());
    expect([mains_V, settings[0]!.ratings[1]!.at_1kHz!.power_W]).toEqual([120, 105]);
  });
});

describe('atMains', () => {
  it('leaves a run at one voltage, or at none that is known, as it is', () => {
    for (const record of [run([108]), run([null])])
      expect(atMains(record, 120)).toMatchObject({ record, several: false });
    expect(ratings(run([108])).mains_V).toBeNull();
  });
});

describe('the mains in the protocol check', () => {
  it.each([
    [[null], 'not recorded', 'not measured, not asked'],
    [[120], 'not recorded', 'set by the operator to 120 V; harmonics not measured'],
    [[108], 'not met', 'set by the operator to 108 V'],
    [[120, 108], 'not recorded', 'set by the operator to 120 V, 108 V; harmonics not measured'],
  ])('of %j V', (volts, state, found) => {
    expect(mains(run(volts))).toMatchObject({ state, found });
  });
});
