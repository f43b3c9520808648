import { describe, expect, it } from 'vitest';
import { encodeWav } from '../../src/signal/encode-wav.js';
import { chunk, extensibleChunk, formatChunk, little, riff } from './wav-bytes.js';

const fact = (frames: number) => chunk('fact', little(frames, 4));

describe('encodeWav', () => {
  it('writes 16-bit integers with a plain header, rounded and held at full scale', () => {
    const samples = Float64Array.of(0.5, -1, 1, 1.4 / 32_768, -7);
    const bytes = encodeWav({ rate_Hz: 48_000, channels: [samples], format: 'int16' });
    const data = [0x00, 0x40, 0x00, 0x80, 0xff, 0x7f, 0x01, 0x00, 0x00, 0x80];
    expect(bytes).toEqual(riff([formatChunk(), chunk('data', data)]));
  });

  it('writes 24-bit integers with an extensible header and pads to an even length', () => {
    const bytes = encodeWav({ rate_Hz: 48_000, channels: [Float64Array.of(-(2 ** -23))], format: 'int24' });
    const format = extensibleChunk({ channels: 1, bits: 24, validBits: 24, tag: 1 });
    expect(bytes).toEqual(riff([format, fact(1), chunk('data', [0xff, 0xff, 0xff])]));
  });

  it('writes 32-bit integers at full precision', () => {
    const samples = Float64Array.of(2 ** -31, 1, -1);
    const bytes = encodeWav({ rate_Hz: 48_000, channels: [samples], format: 'int32' });
    const data = [1, 0, 0, 0, 0xff, 0xff, 0xff, 0x7f, 0, 0, 0, 0x80];
    const format = extensibleChunk({ channels: 1, bits: 32, validBits: 32, tag: 1 });
    expect(bytes).toEqual(riff([format, fact(3), chunk('data', data)]));
  });

  it('writes floats with the extension size and the fact chunk that their coding asks for', () => {
    const channels = [Float64Array.of(1.5), Float64Array.of(-0.125)];
    const bytes = encodeWav({ rate_Hz: 48_000, channels, format: 'float32' });
    const plain = formatChunk({ tag: 3, channels: 2, bits: 32 }).slice(8);
    const data = [0x00, 0x00, 0xc0, 0x3f, 0x00, 0x00, 0x00, 0xbe];
    expect(bytes).toEqual(riff([chunk('fmt ', [...plain, 0, 0]), fact(1), chunk('data', data)]));
  });

  it('gives more than two channels no loudspeaker positions', () => {
    const channels = [0.25, 0.5, 1].map((value) => Float64Array.of(value));
    const bytes = encodeWav({ rate_Hz: 48_000, channels, format: 'float32' });
    const data = [0, 0, 0x80, 0x3e, 0, 0, 0, 0x3f, 0, 0, 0x80, 0x3f];
    const format = extensibleChunk({ channels: 3, bits: 32, validBits: 32, tag: 3 });
    expect(bytes).toEqual(riff([format, fact(1), chunk('data', data)]));
  });

  it.each([
    { name: 'no channels', channels: [], rate_Hz: 48_000, says: /1 to 64 channels/ },
    { name: 'unequal channels', channels: [1, 2], rate_Hz: 48_000, says: /equally long/ },
    { name: 'a broken rate', channels: [1], rate_Hz: 44_100.5, says: /whole number/ },
  ])('refuses $name', ({ channels, rate_Hz, says }) => {
    const arrays = channels.map((length) => new Float64Array(length));
    expect(() => encodeWav({ rate_Hz, channels: arrays, format: 'float32' })).toThrow(says);
  });

  it('keeps a NaN as float and refuses it as integer', () => {
    const channels = [Float64Array.of(Number.NaN)];
    expect(encodeWav({ rate_Hz: 1, channels, format: 'float32' }).slice(-2)).toEqual(
      Uint8Array.of(0xc0, 0x7f),
    );
    expect(() => encodeWav({ rate_Hz: 1, channels, format: 'int16' })).toThrow(/not a number/);
  });
});
