import { describe, expect, it } from 'vitest';
import { drawableSpectrum } from '../../src/measure/drawable-spectrum.js';
import { gaussian, ONE_KILOHERTZ, periodic, RATE_HZ, scaled, sine, sum } from './signals.js';

const FUNDAMENTAL_HZ = (ONE_KILOHERTZ.cycles * RATE_HZ) / ONE_KILOHERTZ.frames;

function draw(samples: Float64Array, fundamental_Hz = FUNDAMENTAL_HZ) {
  return drawableSpectrum(samples, { rate_Hz: RATE_HZ, fundamental_Hz })!;
}

function levelNear(drawn: ReturnType<typeof draw>, frequency_Hz: number): number {
  const distance = drawn.frequency_Hz.map((f) => Math.abs(f - frequency_Hz));
  return drawn.level_dB[distance.indexOf(Math.min(...distance))]!;
}

describe('drawableSpectrum', () => {
  const samples = sum(
    periodic(ONE_KILOHERTZ, (x) => 0.2 * (Math.sin(x) + 1e-3 * Math.sin(2 * x) + 1e-6 * Math.sin(3 * x))),
    scaled(gaussian(ONE_KILOHERTZ.frames, 1), 1e-9),
  );

  it('draws tones at their level relative to the fundamental', () => {
    const drawn = draw(samples);
    expect(levelNear(drawn, FUNDAMENTAL_HZ)).toBeCloseTo(0, 10);
    expect(levelNear(drawn, 2 * FUNDAMENTAL_HZ)).toBeCloseTo(-60, 4);
    expect(levelNear(drawn, 3 * FUNDAMENTAL_HZ)).toBeCloseTo(-120, 1);
  });

  it('has a few hundred points, rising in frequency from 10 Hz to half the rate', () => {
    const { frequency_Hz, level_dB } = draw(samples);
    expect(frequency_Hz.length).toBe(level_dB.length);
    expect(frequency_Hz.length).toBeGreaterThan(250);
    expect(frequency_Hz.length).toBeLessThanOrEqual(400);
    expect(frequency_Hz.every((f, i) => i === 0 || f > frequency_Hz[i - 1]!)).toBe(true);
    expect(frequency_Hz[0]).toBeGreaterThanOrEqual(10);
    expect(frequency_Hz.at(-1)).toBeLessThanOrEqual(RATE_HZ / 2);
  });

  it('keeps the skirt of a tone of broken cycles down', () => {
    const f = 1000 / RATE_HZ;
    const drawn = draw(
      sum(sine(70_000, f), sine(70_000, 5 * f, 1e-6)).map((x) => x + 0.1),
      1000,
    );
    // A seven-term window loses up to 0.49 dB between bins.
    expect(Math.abs(levelNear(drawn, 5000) + 120)).toBeLessThan(0.5);
    expect(levelNear(drawn, 3500)).toBeLessThan(-175);
    expect(levelNear(drawn, 30)).toBeLessThan(-175);
  });

  it('stays finite for a clean tone', () => {
    expect(draw(periodic(ONE_KILOHERTZ, Math.sin)).level_dB.every((level) => level >= -200)).toBe(true);
  });

  it('is null without a fundamental or with hardly any samples', () => {
    const at = (record: Float64Array, fundamental_Hz: number) =>
      drawableSpectrum(record, { rate_Hz: RATE_HZ, fundamental_Hz });
    expect(at(samples, 0)).toBeNull();
    expect(at(new Float64Array(4096), 1000)).toBeNull();
    expect(at(new Float64Array(20), 1000)).toBeNull();
    expect(at(new Float64Array(0), 1000)).toBeNull();
  });
});
