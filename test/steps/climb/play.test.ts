import { describe, expect, it } from 'vitest';
import { clippingUnit, FakeBench, type Through } from '../../runner/fake-bench.js';
import { foundIn } from '../../runner/found.js';
import { benchOf, benchText, play } from '../../runner/run.js';

const CLIMB = `
name: One climb
load: 8 ohm
steps:
  - climb: {id: climb, frequency: 1 kHz, from: 100 mW, marks: [0.1 %, 1 %]}
`;
const RATE = 48_000;
const clipping = clippingUnit(0.4, 0.3);

async function climb(through: Through) {
  const played = await play(CLIMB, benchOf(benchText(1)), new FakeBench(1, through));
  return { ...played, powers: foundIn(played, 'max-power') };
}

describe('a climb', () => {
  it('finds no power in a hum that comes in on the way up, and says what changed', async () => {
    const hum: Through = (samples, channel, start) =>
      clipping(samples, channel, start).map(
        (x, i) => x + (start + i > 9 * RATE ? 0.004 * Math.sin((2 * Math.PI * 100 * (start + i)) / RATE) : 0),
      );
    const { ending, powers } = await climb(hum);
    expect(ending.outcome).toBe('completed');
    for (const { value, why, points } of powers) {
      expect(value).toBeNull();
      if (why?.code !== 'changed') throw new Error('nothing has changed');
      expect(why.again.thdn_percent).toBeGreaterThan(4 * why.first.thdn_percent);
      expect(points).toHaveLength(2);
    }
  });

  it('finds the powers of the same unit without it', async () => {
    const { powers, ...played } = await climb(clipping);
    // 0.3 of 100 V peak into 8 ohm, where clipping begins.
    for (const { value, terms, points } of powers) {
      expect(Math.abs(10 * Math.log10(value! / (30 ** 2 / 16)))).toBeLessThan(0.3);
      const ends = points.map((number) => played.of('point')[number - 1]!.readings[0]!.power_W);
      expect(Math.min(...ends)).toBeLessThan(value!);
      expect(Math.max(...ends)).toBeGreaterThan(value!);
      expect(10 * Math.log10(Math.max(...ends) / Math.min(...ends))).toBeCloseTo(terms.bracket_dB!, 9);
    }
  });
});
