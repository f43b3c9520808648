import { describe, expect, it } from 'vitest';
import { clippingUnit, FakeBench, type Through } from '../../runner/fake-bench.js';
import { foundIn } from '../../runner/found.js';
import { benchOf, benchText, play } from '../../runner/run.js';

const CLIMB = `
name: Climb
load: 8 ohm
driven: all
steps:
  - climb: {id: up, frequency: 1 kHz, from: 100 mW, to: 300 W, marks: [0.1 %, 1 %]}
`;

const unit: Through = (samples, channel, start) =>
  clippingUnit(channel === 1 ? 1 : 0.98, 0.4)(samples, channel, start);
describe('the sum over all driven channels', () => {
  it('is taken at the level where the first channel reaches the threshold', async () => {
    const played = await play(CLIMB, benchOf(benchText(2)), new FakeBench(2, unit));
    const sums = foundIn(played, 'total-power');
    expect(sums.map(({ threshold_percent }) => threshold_percent)).toEqual([0.1, 1]);
    for (const sum of sums) {
      expect(sum).toMatchObject({ channel: 0, driven: [1, 2], bound: 'found', why: null });
      expect(sum.terms.deciding_channel).toBe(1);
      const first = foundIn(played, 'max-power').find(
        ({ channel, threshold_percent }) => channel === 1 && threshold_percent === sum.threshold_percent,
      )!;
      // The second channel has 0.98 of the gain and of the first's drive at its threshold: below or little above its onset.
      const drive = sum.threshold_percent === 0.1 ? 1.00466 : 1.029484;
      const second_W = sum.threshold_percent === 0.1 ? 100 * (0.98 * drive) ** 2 : 100 * 1.0165;
      expect(10 * Math.log10(sum.value! / (first.value! + second_W))).toBeCloseTo(0, 1);
      expect(sum.uncertainty!).toBeGreaterThan(1.7 * first.uncertainty!);
      expect(sum.uncertainty!).toBeLessThan(2.1 * first.uncertainty!);
    }
  });

  it('is not there for one channel', async () => {
    const played = await play(CLIMB, benchOf(benchText(1)), new FakeBench(1, unit));
    expect(foundIn(played, 'total-power')).toEqual([]);
  });

  it('is none, and says so, where not all channels were read at once', async () => {
    const played = await play(CLIMB, benchOf(benchText(2)), new FakeBench(2, unit), {
      change: (step) => ('driven' in step ? { ...step, measured: [1] } : step),
    });
    for (const sum of foundIn(played, 'total-power'))
      expect(sum).toMatchObject({ value: null, why: { code: 'not-read-at-once' } });
  });

  it('is at least what was delivered together where no channel passed the threshold', async () => {
    const played = await play(CLIMB.replace('300 W', '20 W'), benchOf(benchText(2)), new FakeBench(2, unit));
    const sums = foundIn(played, 'total-power');
    expect(sums).toHaveLength(2);
    for (const { value, bound, why } of sums) {
      // 20 W of the channel with more gain, and 0.98 squared of that of the other.
      expect(value).toBeCloseTo(20 * (1 + 0.98 ** 2), 1);
      expect(bound).toBe('at-least');
      expect(why).toMatchObject({ code: 'not-reached', end: { by: 'step-limit', limit_W: 20 } });
    }
  });
});
