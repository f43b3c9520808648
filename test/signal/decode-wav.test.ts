import { describe, expect, it } from 'vitest';
import { decodeWav } from '../../src/signal/decode-wav.js';
import { ascii, chunk, extensibleChunk, formatChunk, little, riff } from './wav-bytes.js';

/** Sample bytes written out by hand, and the values they stand for: an integer over 2^(b-1). */
const CODINGS = [
  {
    name: '8-bit unsigned integer',
    format: formatChunk({ bits: 8 }),
    data: [0, 128, 255, 192],
    values: [-1, 0, 127 / 128, 0.5],
  },
  {
    name: '16-bit integer',
    format: formatChunk(),
    data: [0x00, 0x80, 0x00, 0x40, 0xff, 0x7f, 0xff, 0xff],
    values: [-1, 0.5, 32767 / 32768, -1 / 32768],
  },
  {
    name: '24-bit integer',
    format: formatChunk({ bits: 24 }),
    data: [0x00, 0x00, 0x80, 0x01, 0x00, 0x00, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f],
    values: [-1, 2 ** -23, -(2 ** -23), 1 - 2 ** -23],
  },
  {
    name: '32-bit integer',
    format: formatChunk({ bits: 32 }),
    data: [0x00, 0x00, 0x00, 0x80, 0x01, 0x00, 0x00, 0x00],
    values: [-1, 2 ** -31],
  },
  {
    name: '32-bit float',
    format: formatChunk({ tag: 3, bits: 32 }),
    // IEEE 754: 1.5 is 0x3FC00000, -0.125 is 0xBE000000.
    data: [0x00, 0x00, 0xc0, 0x3f, 0x00, 0x00, 0x00, 0xbe],
    values: [1.5, -0.125],
  },
  {
    name: '64-bit float',
    format: formatChunk({ tag: 3, bits: 64 }),
    data: [0, 0, 0, 0, 0, 0, 0xe0, 0xbf],
    values: [-0.5],
  },
  {
    name: '20 bits at the upper end of 24',
    format: extensibleChunk({ channels: 1, bits: 24, validBits: 20, tag: 1 }),
    data: [0xf0, 0xff, 0x7f, 0x10, 0x00, 0x00],
    values: [1 - 2 ** -19, 2 ** -19],
  },
];

describe('decodeWav', () => {
  it.each(CODINGS)('reads $name', ({ format, data, values }) => {
    const wav = decodeWav(riff([format, chunk('data', data)]));
    expect([...wav.channels[0]!]).toEqual(values);
    expect(wav).toMatchObject({ rate_Hz: 48_000, openEnded: false });
  });

  it('tells the significant bits and the kind of number', () => {
    const float = riff([formatChunk({ tag: 3, bits: 32 }), chunk('data', little(0, 4))]);
    expect(decodeWav(float)).toMatchObject({ bits: 32, format: 'float' });
    const packed = riff([
      extensibleChunk({ channels: 1, bits: 24, validBits: 20, tag: 1 }),
      chunk('data', little(0, 3)),
    ]);
    expect(decodeWav(packed)).toMatchObject({ bits: 20, format: 'int' });
  });

  it('parts the channels of a frame', () => {
    const data = [1, 2, 3, 4, 5, 6].flatMap((step) => little(step * 256, 2));
    const { channels } = decodeWav(riff([formatChunk({ channels: 3 }), chunk('data', data)]));
    expect(channels.map((channel) => [...channel])).toEqual([
      [1 / 128, 4 / 128],
      [2 / 128, 5 / 128],
      [3 / 128, 6 / 128],
    ]);
  });

  it('reads 64 channels', () => {
    const data = Array.from({ length: 64 }, (_, i) => little(i, 2)).flat();
    const { channels } = decodeWav(riff([formatChunk({ channels: 64 }), chunk('data', data)]));
    expect(channels.map((channel) => channel[0]! * 32_768)).toEqual(Array.from({ length: 64 }, (_, i) => i));
  });

  it('passes over unknown chunks, odd ones with their pad byte, before and after the samples', () => {
    const bytes = riff([
      chunk('junk', [1, 2, 3]),
      formatChunk(),
      chunk('LIST', [9]),
      chunk('data', [0, 0x40]),
      chunk('note', [1]),
    ]);
    expect([...decodeWav(bytes).channels[0]!]).toEqual([0.5]);
  });

  it('reads a file that lies somewhere inside a larger buffer', () => {
    const file = riff([formatChunk(), chunk('data', [0, 0x40])]);
    const larger = new Uint8Array(file.length + 12).fill(0xaa);
    larger.set(file, 5);
    expect([...decodeWav(larger.subarray(5, 5 + file.length)).channels[0]!]).toEqual([0.5]);
  });

  it('leaves floats that are not finite as they are', () => {
    // IEEE 754: quiet NaN 0x7FC00000, infinity 0x7F800000.
    const data = [0x00, 0x00, 0xc0, 0x7f, 0x00, 0x00, 0x80, 0x7f];
    const { channels } = decodeWav(riff([formatChunk({ tag: 3, bits: 32 }), chunk('data', data)]));
    expect([...channels[0]!]).toEqual([Number.NaN, Number.POSITIVE_INFINITY]);
  });

  it('takes the length from the 64-bit chunk of an RF64 file', () => {
    const long = chunk('ds64', [...little(0, 8), ...little(4, 8), ...little(2, 8), ...little(0, 4)]);
    const data = chunk('data', [0, 0x40, 0, 0xc0, 7, 7], 0xffff_ffff);
    const wav = decodeWav(riff([long, formatChunk(), data], 0xffff_ffff, 'RF64'));
    expect([...wav.channels[0]!]).toEqual([0.5, -0.5]);
    expect(wav.openEnded).toBe(false);
  });
});

describe('a length left open by a writer to a pipe', () => {
  it.each([
    { name: 'the largest 32-bit number', size: 0xffff_ffff, riffSize: 0xffff_ffff },
    { name: 'just under 2 GiB', size: 0x7fff_f000, riffSize: 0x7fff_f032 },
    { name: 'zero', size: 0, riffSize: 0 },
  ])('$name: takes what is there and says so', ({ size, riffSize }) => {
    const wav = decodeWav(riff([formatChunk(), chunk('data', [0, 0x40, 0, 0xc0], size)], riffSize));
    expect([...wav.channels[0]!]).toEqual([0.5, -0.5]);
    expect(wav.openEnded).toBe(true);
  });

  it('takes a last odd byte for the pad byte', () => {
    const bytes = riff([formatChunk({ bits: 24 }), chunk('data', [0, 0, 0x40], 0xffff_ffff)], 0xffff_ffff);
    expect([...decodeWav(bytes).channels[0]!]).toEqual([0.5]);
  });

  it('refuses a file that ends inside a frame', () => {
    const bytes = riff(
      [formatChunk({ channels: 2 }), chunk('data', [0, 0, 0, 0, 0, 0], 0xffff_ffff)],
      0xffff_ffff,
    );
    expect(() => decodeWav(bytes)).toThrow(expect.objectContaining({ code: 'WAV_TRUNCATED' }));
  });
});

const GOOD = riff([formatChunk(), chunk('data', little(0, 8))]);
const EMPTY_DATA = chunk('data', []);

const BAD = [
  { name: 'an empty file', bytes: new Uint8Array(0), code: 'WAV_EMPTY_FILE', says: /empty \(0 bytes\)/ },
  { name: 'text', bytes: Uint8Array.from(ascii('not sound')), code: 'WAV_NOT_WAV', says: /not a WAV file/ },
  {
    name: 'one byte',
    bytes: Uint8Array.from([82]),
    code: 'WAV_NOT_WAV',
    says: /not a WAV file/,
  },
  {
    name: 'another kind of sound file',
    bytes: Uint8Array.from(ascii('fLaC and so on')),
    code: 'WAV_NOT_WAV',
    says: /looks like a FLAC file/,
  },
  {
    name: 'RIFF with something else in it',
    bytes: Uint8Array.from([...ascii('RIFF'), ...little(4, 4), ...ascii('AVI ')]),
    code: 'WAV_NOT_WAV',
    says: /not a WAV file/,
  },
  {
    name: 'big-endian WAV',
    bytes: riff([formatChunk()], undefined, 'RIFX'),
    code: 'WAV_UNSUPPORTED_CODING',
    says: /big-endian/,
  },
  { name: 'half a header', bytes: GOOD.subarray(0, 7), code: 'WAV_TRUNCATED', says: /7 bytes/ },
  { name: 'nothing after the file header', bytes: GOOD.subarray(0, 12), code: 'WAV_TRUNCATED', says: /12/ },
  { name: 'half a format chunk', bytes: GOOD.subarray(0, 30), code: 'WAV_TRUNCATED', says: /30 bytes/ },
  {
    name: 'fewer samples than promised',
    bytes: GOOD.subarray(0, GOOD.length - 2),
    code: 'WAV_TRUNCATED',
    says: /promises 8 bytes of samples, 6 are there/,
  },
  {
    name: 'samples that end inside a frame',
    bytes: riff([formatChunk({ channels: 2 }), chunk('data', little(0, 6))]),
    code: 'WAV_TRUNCATED',
    says: /6 bytes of samples end inside a frame of 4 bytes/,
  },
  {
    name: 'no samples',
    bytes: riff([formatChunk(), EMPTY_DATA]),
    code: 'WAV_NO_SAMPLES',
    says: /no samples/,
  },
  { name: 'no data chunk', bytes: riff([formatChunk()]), code: 'WAV_BAD_HEADER', says: /no data chunk/ },
  {
    name: 'samples before the format',
    bytes: riff([chunk('data', little(0, 8)), formatChunk()]),
    code: 'WAV_BAD_HEADER',
    says: /before any format/,
  },
  {
    name: 'a short format chunk',
    bytes: riff([chunk('fmt ', little(1, 14)), EMPTY_DATA]),
    code: 'WAV_TRUNCATED',
    says: /14 bytes of the 16/,
  },
  {
    name: 'no channels',
    bytes: riff([formatChunk({ channels: 0 }), EMPTY_DATA]),
    code: 'WAV_BAD_HEADER',
    says: /0 channels/,
  },
  {
    name: '65535 channels',
    bytes: riff([formatChunk({ channels: 65_535, frameBytes: 0 }), EMPTY_DATA]),
    code: 'WAV_BAD_HEADER',
    says: /65535 channels.*1 to 64/,
  },
  {
    name: 'rate zero',
    bytes: riff([formatChunk({ rate_Hz: 0 }), EMPTY_DATA]),
    code: 'WAV_BAD_HEADER',
    says: /0 samples per second/,
  },
  {
    name: 'one sample per second',
    bytes: riff([formatChunk({ rate_Hz: 1 }), EMPTY_DATA]),
    code: 'WAV_BAD_HEADER',
    says: /says 1 samples per second, at which no sound is recorded.*such as 48000/,
  },
  {
    name: 'four thousand million samples per second',
    bytes: riff([formatChunk({ rate_Hz: 0xffff_ffff }), EMPTY_DATA]),
    code: 'WAV_BAD_HEADER',
    says: /says 4294967295 samples per second/,
  },
  {
    name: 'a frame size that does not fit',
    bytes: riff([formatChunk({ channels: 2, frameBytes: 6 }), EMPTY_DATA]),
    code: 'WAV_BAD_HEADER',
    says: /6 bytes a frame.*4 bytes a frame/,
  },
  {
    name: 'more significant bits than bits',
    bytes: riff([extensibleChunk({ channels: 1, bits: 16, validBits: 24, tag: 1 }), EMPTY_DATA]),
    code: 'WAV_BAD_HEADER',
    says: /24 significant bits/,
  },
  {
    name: 'mu-law',
    bytes: riff([formatChunk({ tag: 7, bits: 8 }), EMPTY_DATA]),
    code: 'WAV_UNSUPPORTED_CODING',
    says: /mu-law.*PCM/,
  },
  {
    name: 'a coding without a name',
    bytes: riff([formatChunk({ tag: 0x1234 }), EMPTY_DATA]),
    code: 'WAV_UNSUPPORTED_CODING',
    says: /coding number 4660/,
  },
  {
    name: '16-bit float',
    bytes: riff([formatChunk({ tag: 3, bits: 16 }), EMPTY_DATA]),
    code: 'WAV_UNSUPPORTED_CODING',
    says: /16-bit float/,
  },
  {
    name: '64-bit integer',
    bytes: riff([formatChunk({ bits: 64 }), EMPTY_DATA]),
    code: 'WAV_UNSUPPORTED_CODING',
    says: /64-bit integer/,
  },
  {
    name: 'a private coding',
    bytes: riff([
      extensibleChunk({ channels: 1, bits: 16, validBits: 16, tag: 1, guidTail: Array(14).fill(1) }),
      EMPTY_DATA,
    ]),
    code: 'WAV_UNSUPPORTED_CODING',
    says: /private coding/,
  },
];

describe('a file that cannot be read', () => {
  it.each(BAD)('$name is refused in one sentence that names the file', ({ bytes, code, says }) => {
    expect(() => decodeWav(bytes, 'take.wav')).toThrow(
      expect.objectContaining({ code, exitStatus: 2, message: expect.stringMatching(says) }),
    );
    expect(() => decodeWav(bytes, 'take.wav')).toThrow(/^take\.wav: [^\n]+\.$/);
  });

  it('is one with more samples than its reader takes in, and says how long a piece would do', () => {
    const bytes = riff([formatChunk({ channels: 2 }), chunk('data', Array<number>(4 * 96_001).fill(0))]);
    expect(() => decodeWav(bytes, 'take.wav', 2 * 96_000)).toThrow(
      'take.wav: the file holds 96001 frames of 2 channels. At most 96000 frames of so many can be taken in, 2 s of this file: cut a piece out.',
    );
    expect(decodeWav(bytes, 'take.wav', 2 * 96_001).channels[1]).toHaveLength(96_001);
  });
});
