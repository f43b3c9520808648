import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { OhmestError } from '../../src/errors/ohmest-error.js';
import { decodeWav } from '../../src/signal/decode-wav.js';
import { encodeWav, type WavEncoding } from '../../src/signal/encode-wav.js';

const SEED = 20_240;
const shape = {
  rate_Hz: fc.integer({ min: 1000, max: 10_000_000 }),
  channelCount: fc.integer({ min: 1, max: 64 }),
  frames: fc.integer({ min: 1, max: 20 }),
};

/** Channels whose samples are drawn from `values`, in turn. */
function spread(channelCount: number, frames: number, values: readonly number[]): Float64Array[] {
  return Array.from({ length: channelCount }, (_, channel) =>
    Float64Array.from({ length: frames }, (_, i) => values[(channel * frames + i) % values.length]!),
  );
}

describe('a WAV file read back', () => {
  it('holds the same single-precision floats', () => {
    const values = fc.array(fc.float({ noNaN: false }), { minLength: 1, maxLength: 50 });
    fc.assert(
      fc.property(fc.record({ ...shape, values }), ({ rate_Hz, channelCount, frames, values }) => {
        const channels = spread(channelCount, frames, values);
        const wav = decodeWav(encodeWav({ rate_Hz, channels, format: 'float32' }));
        expect(wav).toEqual({ rate_Hz, channels, bits: 32, format: 'float', openEnded: false });
      }),
      { seed: SEED, numRuns: 200 },
    );
  });

  it.each<{ format: WavEncoding; bits: number }>([
    { format: 'int16', bits: 16 },
    { format: 'int24', bits: 24 },
    { format: 'int32', bits: 32 },
  ])('holds the same $bits-bit integers', ({ format, bits }) => {
    const scale = 2 ** (bits - 1);
    const values = fc.array(fc.integer({ min: -scale, max: scale - 1 }), { minLength: 1, maxLength: 50 });
    fc.assert(
      fc.property(fc.record({ ...shape, values }), ({ rate_Hz, channelCount, frames, values }) => {
        const channels = spread(
          channelCount,
          frames,
          values.map((value) => value / scale),
        );
        const wav = decodeWav(encodeWav({ rate_Hz, channels, format }));
        expect(wav).toEqual({ rate_Hz, channels, bits, format: 'int', openEnded: false });
      }),
      { seed: SEED, numRuns: 200 },
    );
  });

  it('is off by half a step at most when the samples lie between steps', () => {
    fc.assert(
      fc.property(fc.double({ min: -1, max: 1 - 2 ** -16, noNaN: true }), (value) => {
        const bytes = encodeWav({ rate_Hz: 48_000, channels: [Float64Array.of(value)], format: 'int16' });
        expect(Math.abs(decodeWav(bytes).channels[0]![0]! - value)).toBeLessThanOrEqual(2 ** -16);
      }),
      { seed: SEED },
    );
  });
});

describe('a damaged WAV file', () => {
  const formats: WavEncoding[] = ['float32', 'int16', 'int24', 'int32'];
  const damage = fc.record({
    format: fc.constantFrom(...formats),
    channelCount: fc.integer({ min: 1, max: 4 }),
    length: fc.nat({ max: 200 }),
    changes: fc.array(fc.tuple(fc.nat({ max: 120 }), fc.nat({ max: 255 })), { maxLength: 6 }),
  });

  it('is read within its bounds or refused with an error of the tool, whatever the damage', () => {
    fc.assert(
      fc.property(damage, ({ format, channelCount, length, changes }) => {
        const channels = spread(channelCount, 8, [0.5, -0.25, 0.125]);
        const bytes = encodeWav({ rate_Hz: 48_000, channels, format }).slice(0, length);
        for (const [at, value] of changes) if (at < bytes.length) bytes[at] = value;
        expectReadOrRefused(bytes);
      }),
      { seed: SEED, numRuns: 5000 },
    );
  });

  it('is refused with an error of the tool when it is noise behind a good beginning', () => {
    const noise = fc.uint8Array({ maxLength: 300 });
    fc.assert(
      fc.property(noise, (tail) => {
        expectReadOrRefused(tail);
        const start = encodeWav({ rate_Hz: 48_000, channels: [new Float64Array(1)], format: 'int16' });
        expectReadOrRefused(Uint8Array.from([...start.slice(0, 12), ...tail]));
      }),
      { seed: SEED, numRuns: 2000 },
    );
  });
});

function expectReadOrRefused(bytes: Uint8Array): void {
  try {
    const { channels } = decodeWav(bytes);
    const samples = channels.length * channels[0]!.length;
    // One byte a sample is the tightest coding, so more samples than bytes would have been read elsewhere.
    expect(samples).toBeLessThanOrEqual(bytes.length);
    expect(samples).toBeGreaterThan(0);
  } catch (error) {
    expect(error).toBeInstanceOf(OhmestError);
  }
}
