import { describe, expect, it } from 'vitest';
import { correlated, subtractTones, toneTable } from '../../src/measure/tone-table.js';

/** t counted from the middle of the record. */
const tone = (frames: number, f: number, cosine: number, sine: number) =>
  Float64Array.from({ length: frames }, (_, n) => {
    const angle = 2 * Math.PI * f * (n - (frames - 1) / 2);
    return cosine * Math.cos(angle) + sine * Math.sin(angle);
  });

describe('a tone by its table', () => {
  it('is the cosine and the sine of every sample of a block', () => {
    const { cos, sin } = toneTable(0.1234567);
    for (let k = 0; k < cos.length; k += 1) {
      expect(Math.abs(cos[k]! - Math.cos(2 * Math.PI * 0.1234567 * k))).toBeLessThan(3e-13);
      expect(Math.abs(sin[k]! - Math.sin(2 * Math.PI * 0.1234567 * k))).toBeLessThan(3e-13);
      expect(Math.abs(Math.hypot(cos[k]!, sin[k]!) - 1)).toBeLessThan(1e-14);
    }
  });

  // Orthogonality over whole cycles: sums of cos^2 and sin^2 are N/2, of all other products 0.
  it.each([512, 1024, 4096])('is found in %d samples of whole cycles, and another is not', (frames) => {
    const samples = tone(frames, 7 / frames, 0.3, -0.4);
    const [own, other] = correlated(samples, [toneTable(7 / frames), toneTable(11 / frames)]);
    expect(own!.cosine).toBeCloseTo((0.3 * frames) / 2, 9);
    expect(own!.sine).toBeCloseTo((-0.4 * frames) / 2, 9);
    expect(Math.hypot(other!.cosine, other!.sine)).toBeLessThan(1e-9);
  });

  it.each([1, 511, 513, 1300])('leaves nothing of %d samples when it is taken off', (frames) => {
    const samples = tone(frames, 0.0371, 0.8, 0.6);
    subtractTones(samples, [toneTable(0.0371)], [{ cosine: 0.8, sine: 0.6 }]);
    for (const x of samples) expect(Math.abs(x)).toBeLessThan(1e-12);
  });
});
