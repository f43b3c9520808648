import { describe, expect, it } from 'vitest';
import type { PowerAtThdn, SumResult } from '../../../src/record/old-results.js';
import { clippingUnit, FakeBench, type Through } from '../../runner/fake-bench.js';
import { benchOf, benchText, type Played, play } from '../../runner/run.js';

const CLIMB = `
name: Climb
load: 8 ohm
driven: all
steps:
  - climb: {id: up, frequency: 1 kHz, from: 100 mW, to: 300 W, marks: [0.1 %, 1 %]}
`;

const unit: Through = (samples, channel, start) =>
  clippingUnit(channel === 1 ? 1 : 0.98, 0.4)(samples, channel, start);
const of = <K extends 'sum' | 'power-at-thdn'>(played: Played, kind: K) =>
  played
    .of('result')
    .map(({ result }) => result)
    .filter((result) => result.kind === kind) as (K extends 'sum' ? SumResult : PowerAtThdn)[];

describe('the sum over all driven channels', () => {
  it('is taken at the level where the first channel reaches the threshold', async () => {
    const played = await play(CLIMB, benchOf(benchText(2)), new FakeBench(2, unit));
    const sums = of(played, 'sum');
    expect(sums.map(({ threshold_percent }) => threshold_percent)).toEqual([0.1, 1]);
    for (const sum of sums) {
      expect(sum).toMatchObject({ channel: 0, driven: [1, 2], first_channel: 1, note: '' });
      const first = of(played, 'power-at-thdn').find(
        ({ channel, threshold_percent }) => channel === 1 && threshold_percent === sum.threshold_percent,
      )!;
      // The second channel has 0.98 of the gain and of the first's drive at its threshold: below or little above its onset.
      const drive = sum.threshold_percent === 0.1 ? 1.00466 : 1.029484;
      const second_W = sum.threshold_percent === 0.1 ? 100 * (0.98 * drive) ** 2 : 100 * 1.0165;
      expect(10 * Math.log10(sum.power_W! / (first.power_W! + second_W))).toBeCloseTo(0, 1);
      expect(sum.uncertainty_W!).toBeGreaterThan(1.7 * first.uncertainty_W!);
      expect(sum.uncertainty_W!).toBeLessThan(2.1 * first.uncertainty_W!);
    }
  });

  it('is not there for one channel', async () => {
    const played = await play(CLIMB, benchOf(benchText(1)), new FakeBench(1, unit));
    expect(of(played, 'sum')).toEqual([]);
  });

  it('is none, and says so, where not all channels were read at once', async () => {
    const played = await play(CLIMB, benchOf(benchText(2)), new FakeBench(2, unit), {
      change: (step) => ('driven' in step ? { ...step, measured: [1] } : step),
    });
    for (const sum of of(played, 'sum'))
      expect(sum).toMatchObject({ power_W: null, note: expect.stringMatching(/not all driven channels/) });
  });

  it('is none where no channel crossed the threshold', async () => {
    const played = await play(CLIMB.replace('300 W', '20 W'), benchOf(benchText(2)), new FakeBench(2, unit));
    expect(of(played, 'sum')).toMatchObject([
      { power_W: null, note: 'no channel crossed 0.1 %' },
      { power_W: null, note: 'no channel crossed 1 %' },
    ]);
  });
});
