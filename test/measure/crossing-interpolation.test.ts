import { describe, expect, it } from 'vitest';
import { lastCrossing } from '../../src/measure/crossing.js';
import { seededRandom } from '../../src/signal/dither.js';

/** THD+N of a smooth clipping curve over a little noise, percent. */
const curve = (steepness: number, noise: number) => (power_W: number) =>
  Math.hypot(noise / Math.sqrt(power_W), 0.1 * (power_W / 100) ** steepness);

/** Power at which a rising curve reaches 0.1 %, by bisection. */
function trueCrossing(thdn: (power_W: number) => number): number {
  let [low, high] = [50, 200];
  for (let i = 0; i < 200; i += 1) {
    const middle = Math.sqrt(low * high);
    if (thdn(middle) < 0.1) low = middle;
    else high = middle;
  }
  return low;
}

const pointsOf = (thdn: (power_W: number) => number, powers: readonly number[]) =>
  powers.map((power_W) => ({ power_W, thdn_percent: thdn(power_W) }));

describe('a crossing', () => {
  it('tells the slope of the curve there: 1 over the exponent of a power law', () => {
    const found = lastCrossing(pointsOf(curve(8, 0), [90, 98, 103, 110]), 0.1)!;
    expect(found.slope).toBeCloseTo(1 / 8, 12);
    expect(found.power_W).toBeCloseTo(100, 9);
    expect(found.interpolation).toBeLessThan(1e-12);
  });

  it('lies no further from the truth than it says, on curves that bend one way', () => {
    const random = seededRandom(11);
    let least = Number.POSITIVE_INFINITY;
    for (let trial = 0; trial < 300; trial += 1) {
      const thdn = curve(1 + 12 * random(), 0.5 * random());
      const at_W = trueCrossing(thdn);
      const shares = [
        -0.1 * random() - 0.02,
        -0.02 * random() - 1e-4,
        0.02 * random() + 1e-4,
        0.1 * random() + 0.03,
      ];
      const found = lastCrossing(
        pointsOf(
          thdn,
          shares.map((share) => at_W * (1 + share)),
        ),
        0.1,
      )!;
      const off = Math.abs(Math.log(found.power_W / at_W));
      expect(off).toBeLessThanOrEqual(found.interpolation + 1e-12);
      least = Math.min(least, found.interpolation / Math.log(10 ** (found.bracket_dB / 10)));
    }
    // It is worth the trouble: half the bracket would be 0.5.
    expect(least).toBeLessThan(0.05);
  });

  it('is known as far as the further end of its bracket where the curve has no neighbours, or bends both ways', () => {
    const lone = lastCrossing(
      [
        { power_W: 99, thdn_percent: 0.09 },
        { power_W: 101, thdn_percent: 0.11 },
      ],
      0.1,
    )!;
    expect(lone.interpolation).toBeCloseTo(Math.log(lone.power_W / 99), 12);
    expect(lone.power_W / 99).toBeGreaterThan(101 / lone.power_W);
    const kinked = lastCrossing(
      [
        { power_W: 90, thdn_percent: 0.05 },
        { power_W: 99, thdn_percent: 0.09 },
        { power_W: 101, thdn_percent: 0.092 },
        { power_W: 101.5, thdn_percent: 0.12 },
        { power_W: 104, thdn_percent: 0.121 },
      ],
      0.1,
    )!;
    expect(kinked.interpolation).toBeCloseTo(Math.log(101.5 / kinked.power_W), 12);
  });
});
