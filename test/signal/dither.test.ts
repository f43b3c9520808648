import { describe, expect, it } from 'vitest';
import { quantise, seededRandom } from '../../src/signal/dither.js';

const ramp = Float64Array.from({ length: 200_000 }, (_, i) => 0.9 * Math.sin(0.7131 * i + 0.1));

describe('quantise', () => {
  it.each([16, 24])('puts every sample on the grid of %d bits', (bits) => {
    const scale = 2 ** (bits - 1);
    expect(
      quantise(ramp.slice(0, 5_000), bits, seededRandom(1)).every((sample) =>
        Number.isInteger(sample * scale),
      ),
    ).toBe(true);
  });

  it('adds noise of LSB^2 / 4 (triangular dither and rounding), within 1 %', () => {
    const lsb = 2 ** -15;
    const out = quantise(ramp, 16, seededRandom(7));
    const power = out.reduce((sum, sample, i) => sum + (sample - ramp[i]!) ** 2, 0) / ramp.length;
    expect(power / (lsb ** 2 / 4)).toBeGreaterThan(0.99);
    expect(power / (lsb ** 2 / 4)).toBeLessThan(1.01);
  });

  it('leaves silence silent and clips at full scale', () => {
    expect(quantise(new Float64Array(64), 16, seededRandom(3))).toEqual(new Float64Array(64));
    const [top, bottom] = quantise(Float64Array.of(1.5, -1.5), 16, seededRandom(3));
    expect([top, bottom]).toEqual([1 - 2 ** -15, -1]);
  });

  it('is reproducible for a seed', () => {
    expect(quantise(ramp.slice(0, 99), 24, seededRandom(5))).toEqual(
      quantise(ramp.slice(0, 99), 24, seededRandom(5)),
    );
  });
});
