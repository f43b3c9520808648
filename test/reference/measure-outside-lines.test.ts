/*
 * Lines outside the measuring band. A sine of power P at a fraction of a bin leaves P sin^2(pi x) / (pi k)^2 in the k-th bin from it
 * (transform of a rectangular window), so that one of 10 % of the tone at 20.5 kHz would read as about 0.08 % in a band that
 * ends at 20 kHz, where there is nothing but noise of 0.002 %.
 */
import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import { railFlags } from '../../src/measure/rail-flags.js';
import { gaussian } from '../measure/signals.js';

const RATE_Hz = 48_000;
const FRAMES = 2 ** 16;
const CYCLES = 1365;

function record(
  lines: readonly (readonly [frequency_Hz: number, share: number])[],
  frames = FRAMES,
): Float64Array {
  const noise = gaussian(frames, 3);
  return Float64Array.from({ length: frames }, (_, n) => {
    const tone = Math.cos((2 * Math.PI * CYCLES * n) / FRAMES);
    const more = lines.reduce(
      (sum, [frequency_Hz, share]) => sum + share * Math.cos((2 * Math.PI * frequency_Hz * n) / RATE_Hz + 1),
      0,
    );
    return 0.3 * (tone + more + 2e-5 * noise[n]!);
  });
}

const thdnOf = (samples: Float64Array) =>
  analyse([samples], { rate_Hz: RATE_Hz, tone: { cycles: CYCLES, frames: FRAMES } })[0]!.thdn_percent;

describe('a strong line just outside the band', () => {
  const clean = thdnOf(record([]));

  it.each([
    ['above it', [[20_500.3, 0.1]]],
    [
      'above it, with another one',
      [
        [20_500.3, 0.1],
        [22_100.1, 0.05],
      ],
    ],
    ['below it', [[14.2, 0.05]]],
  ] as const)('%s does not leak into it', (_, lines) => {
    expect(thdnOf(record(lines)) / clean).toBeCloseTo(1, 1);
  });

  it('does not leak into a record that is fitted either', () => {
    const ratio = thdnOf(record([[20_500.3, 0.1]], 60_000)) / thdnOf(record([], 60_000));
    expect(ratio).toBeCloseTo(1, 1);
  });

  it('inside the band counts', () => {
    expect(thdnOf(record([[15_000.3, 0.1]]))).toBeCloseTo(100 * (0.1 / Math.hypot(1, 0.1)), 1);
  });
});

describe('a converter on its rails', () => {
  const sine = (peak: number) =>
    Float64Array.from({ length: 4800 }, (_, n) =>
      Math.max(-1, Math.min(1, peak * Math.sin((2 * Math.PI * n) / 48))),
    );

  it('is told by tops that are cut off at full scale', () => {
    expect(railFlags(sine(1.2))).toEqual(['clipped-capture', 'near-input-rail']);
  });

  it('is not taken for one that is near them, or far', () => {
    expect(railFlags(sine(0.95))).toEqual(['near-input-rail']);
    expect(railFlags(sine(0.5))).toEqual([]);
  });
});
