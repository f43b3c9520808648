import { describe, expect, it } from 'vitest';
import { clippingUnit, FakeBench, type Through } from '../../runner/fake-bench.js';
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
  const powers = played
    .of('result')
    .flatMap(({ result }) => (result.kind === 'power-at-thdn' ? [result] : []));
  return { ...played, powers };
}

describe('a climb', () => {
  it('finds no power in a hum that comes in on the way up, and says what changed', async () => {
    const hum: Through = (samples, channel, start) =>
      clipping(samples, channel, start).map(
        (x, i) => x + (start + i > 9 * RATE ? 0.004 * Math.sin((2 * Math.PI * 100 * (start + i)) / RATE) : 0),
      );
    const { ending, powers } = await climb(hum);
    expect(ending.outcome).toBe('completed');
    for (const { power_W, note } of powers) {
      expect(power_W).toBeNull();
      expect(note).toMatch(/when the same level was played again: something has changed in between$/);
    }
  });

  it('finds the powers of the same unit without it', async () => {
    const { powers } = await climb(clipping);
    // 0.3 of 100 V peak into 8 ohm, where clipping begins.
    for (const { power_W } of powers)
      expect(Math.abs(10 * Math.log10(power_W! / (30 ** 2 / 16)))).toBeLessThan(0.3);
  });
});
