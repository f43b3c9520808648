import { describe, expect, it } from 'vitest';
import { AudioBench } from '../../../src/bench/audio/audio-bench.js';
import { RATES_HZ, streamGeometry } from '../../../src/bench/audio/stream-geometry.js';
import { audioSetup } from '../../audio/bench-on.js';

const refused = (wiring: Parameters<typeof audioSetup>[0]) => () => new AudioBench(audioSetup(wiring));

describe('a bench file for a sound interface', () => {
  it.each([0, 8000, 12_345, 47_999.5, 384_000])('is refused with a rate of %d', (rate_Hz) => {
    expect(refused({ rate_Hz })).toThrow(expect.objectContaining({ code: 'AUDIO_RATE', exitStatus: 2 }));
  });

  it('is refused when it uses channels that it does not open, or one output twice', () => {
    const wrong = { code: 'AUDIO_CHANNEL_MAP', exitStatus: 2 };
    expect(refused({ width: 2, map: [[3, 1]] })).toThrow(expect.objectContaining(wrong));
    expect(refused({ width: 2, map: [[1, 3]] })).toThrow(expect.objectContaining(wrong));
    expect(refused({ width: 2, map: [[1, 1]], taps: [3] })).toThrow(expect.objectContaining(wrong));
    const shared = [
      [1, 1],
      [1, 2],
    ] as const;
    expect(refused({ width: 2, map: shared })).toThrow(expect.objectContaining(wrong));
  });

  it('makes a bench that energises and is closed at first', async () => {
    const bench = new AudioBench(audioSetup({ width: 2, map: [[2, 1]] }));
    expect(bench).toMatchObject({ kind: 'audio', energises: true, channels: 1, rate_Hz: 48_000, flags: [] });
    await expect(bench.idle(1)).rejects.toMatchObject({ code: 'BENCH_CLOSED' });
    await bench.close();
  });
});

describe('the pieces of a stream', () => {
  it.each(RATES_HZ)('last equally long at %i Hz as at 48 kHz, within the ratio of 44.1 to 48', (rate_Hz) => {
    const { bufferFrames, chunkFrames, fadeFrames, creditFrames } = streamGeometry(rate_Hz);
    expect((1000 * bufferFrames) / rate_Hz).toBeGreaterThanOrEqual(21.3);
    expect((1000 * bufferFrames) / rate_Hz).toBeLessThan(23.3);
    expect(bufferFrames).toBe(2 * chunkFrames);
    expect(fadeFrames).toBeLessThan(chunkFrames);
    expect((1000 * fadeFrames) / rate_Hz).toBeGreaterThanOrEqual(9.99);
    // Whole chunks: a part of one could never be used.
    expect(creditFrames % chunkFrames).toBe(0);
    expect((1000 * creditFrames) / rate_Hz).toBeGreaterThan(115);
    expect((1000 * creditFrames) / rate_Hz).toBeLessThanOrEqual(120);
  });
});
