import { describe, expect, it } from 'vitest';
import { clockMismatch_ppm } from '../../src/measure/analyse.js';
import { spectraOf } from '../../src/measure/fft.js';
import { binOffset, holdsWholeCycles } from '../../src/measure/whole-cycles.js';
import { gaussian, scaled, sine, sum } from './signals.js';

const FRAMES = 16_384;
const BIN = 683;

function spectrumOf(offset: number, noise = 0) {
  const tone = sine(FRAMES, (BIN + offset) / FRAMES, 1, 0.4);
  return spectraOf([sum(tone, scaled(gaussian(FRAMES, 4), noise))], FRAMES)[0]!;
}

describe('binOffset', () => {
  it.each([-0.45, -0.1, -1e-3, -1e-6, 0, 1e-6, 1e-3, 0.1, 0.45])('finds an offset of %f bins', (offset) => {
    // The mirror image at negative frequency, 1366 bins away, stays.
    expect(Math.abs(binOffset(spectrumOf(offset), BIN) - offset)).toBeLessThan(
      1e-10 + 1e-3 * Math.abs(offset),
    );
  });

  it('is not moved by a level that drifts', () => {
    const drifting = sine(FRAMES, BIN / FRAMES).map((x, n) => x * (1 + (0.05 * n) / FRAMES));
    expect(Math.abs(binOffset(spectraOf([drifting], FRAMES)[0]!, BIN))).toBeLessThan(1e-5);
  });
});

describe('holdsWholeCycles', () => {
  it('minds leakage as far as it shows against the rest', () => {
    expect(holdsWholeCycles(spectrumOf(0), BIN)).toBe(true);
    expect(holdsWholeCycles(spectrumOf(1e-5), BIN)).toBe(false);
    expect(holdsWholeCycles(spectrumOf(1e-5, 0.01), BIN)).toBe(true);
    expect(holdsWholeCycles(spectrumOf(1e-2, 0.01), BIN)).toBe(false);
  });
});

describe('clockMismatch_ppm', () => {
  it('is the relative difference in parts per million', () => {
    expect(clockMismatch_ppm(1000.02, 1000)).toBeCloseTo(20, 6);
    expect(clockMismatch_ppm(999.9, 1000)).toBeCloseTo(-100, 6);
  });
});
