import FFT from 'fft.js';
import { describe, expect, it } from 'vitest';
import { rowTransform } from '../../src/measure/row-transform.js';
import { gaussian } from './signals.js';

/** Allowed error, relative to the rms of all bins. */
const TOLERANCE = 1e-13;

/** Real and imaginary part of bin k. */
function bin({ data, rows, rowStarts }: ReturnType<typeof rowTransform>, k: number): [number, number] {
  const at = rowStarts[k % rows]! + 2 * Math.floor(k / rows);
  return [data[at]!, data[at + 1]!];
}

/** The transform from its definition at one bin. */
function bySummation(
  real: Float64Array,
  imaginary: Float64Array,
  frames: number,
  k: number,
): [number, number] {
  let [re, im] = [0, 0];
  real.forEach((x, n) => {
    const angle = (2 * Math.PI * ((k * n) % frames)) / frames;
    re += x * Math.cos(angle) + imaginary[n]! * Math.sin(angle);
    im += imaginary[n]! * Math.cos(angle) - x * Math.sin(angle);
  });
  return [re, im];
}

describe('a transform in rows', () => {
  it.each([1, 2, 4, 10, 14, 15, 16, 17, 18, 19])('of 2^%d points is that of fft.js', (log) => {
    const frames = 2 ** log;
    const [real, imaginary] = [gaussian(frames, 1), gaussian(frames, 2)];
    const transform = rowTransform(frames);
    transform.transform({ samples: real, factor: 1 }, { samples: imaginary, factor: 1 });
    const expected = new Float64Array(2 * frames);
    new FFT(frames).transform(
      expected,
      Float64Array.from({ length: 2 * frames }, (_, i) => (i % 2 === 0 ? real : imaginary)[i >> 1]!),
    );
    let [furthest, square] = [0, 0];
    for (let k = 0; k < frames; k++) {
      const [re, im] = bin(transform, k);
      furthest = Math.max(furthest, Math.abs(re - expected[2 * k]!), Math.abs(im - expected[2 * k + 1]!));
      square += (re * re + im * im) / frames;
    }
    expect(furthest).toBeLessThan(TOLERANCE * Math.sqrt(square));
  });

  it.each([2 ** 14, 2 ** 16, 2 ** 18])('of %d points is the sum that defines it', (frames) => {
    const [real, imaginary] = [gaussian(frames, 3), gaussian(frames, 4)];
    const transform = rowTransform(frames);
    transform.transform({ samples: real, factor: 1 }, { samples: imaginary, factor: 1 });
    for (const k of [0, 1, 2, 3, 5, 16, 17, 4099, frames / 2 - 1, frames / 2, frames - 7]) {
      const [re, im] = bin(transform, k);
      const [expectedRe, expectedIm] = bySummation(real, imaginary, frames, k);
      // Rms of a bin: root of the 2 `frames` unit variances. The sum itself rounds, the more the longer it is.
      const unit = Math.sqrt(2 * frames);
      expect(Math.hypot(re - expectedRe, im - expectedIm)).toBeLessThan(TOLERANCE * unit);
    }
  });

  it('multiplies by the factors, and fills up with zeros', () => {
    const frames = 2 ** 16;
    const [real, imaginary] = [gaussian(40_000, 5), gaussian(3, 6)];
    const short = rowTransform(frames);
    short.transform({ samples: real, factor: 2 }, { samples: imaginary, factor: -0.5 });
    const full = rowTransform(frames);
    const padded = (samples: Float64Array, factor: number) =>
      Float64Array.from({ length: frames }, (_, n) => factor * (samples[n] ?? 0));
    full.transform({ samples: padded(real, 2), factor: 1 }, { samples: padded(imaginary, -0.5), factor: 1 });
    expect(short.data).toEqual(full.data);
  });
});
