import { expect, test } from 'vitest';
import { type ChartSetting, claimMarks } from '../../../src/document/model/claim-marks.js';
import { judgeRun } from '../../../src/judgement/judged-run.js';
import { invented } from '../fixture.js';

const record = invented();
const HERE: ChartSetting = { load_ohm: 8, driven: [1, 2], limit_percent: null, frequency_Hz: 1000 };
const drawn = (claim: string, setting = HERE) => claimMarks(record, judgeRun(record, claim), setting);

test('a claim for the load and the channels of a chart is drawn in it', () => {
  expect(drawn('80 W per channel into 8 ohm, 20 Hz to 20 kHz, all channels driven')).toEqual([
    { power_W: 80, words: 'claim 80 W' },
  ]);
});

test.each([
  ['another load', '80 W per channel into 4 ohm'],
  ['fewer channels driven', '80 W per channel into 8 ohm, 1 channel driven'],
  ['another frequency', '80 W per channel into 8 ohm, 40 Hz'],
  ['all channels together', '160 W total into 8 ohm'],
  ['bursts', '120 W per channel into 8 ohm, 20 ms burst'],
])('a claim for %s is not', (_, claim) => {
  expect(drawn(claim)).toEqual([]);
});

test('in a chart of one threshold only claims at that distortion are drawn', () => {
  const setting = { ...HERE, limit_percent: 0.1, frequency_Hz: null };
  expect(drawn('80 W per channel into 8 ohm, 0.1 % THD+N', setting)).toHaveLength(1);
  expect(drawn('80 W per channel into 8 ohm, 1 % THD+N', setting)).toEqual([]);
});

test('the same power claimed twice is drawn once', () => {
  const claims = '80 W per channel into 8 ohm, 0.1 % THD+N\n80 W per channel into 8 ohm, 1 % THD+N';
  expect(drawn(claims)).toHaveLength(1);
});
