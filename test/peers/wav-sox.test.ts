import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { decodeWav } from '../../src/signal/decode-wav.js';
import { encodeWav, type WavEncoding } from '../../src/signal/encode-wav.js';

/** sox writes and reads the same samples as text; -D keeps it from adding dither. */
let folder = '';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-wav-'));
});

afterAll(() => {
  rmSync(folder, { recursive: true });
});

function sox(args: readonly string[]): Buffer {
  return execFileSync('sox', ['-D', ...args], { cwd: folder, stdio: ['ignore', 'pipe', 'ignore'] });
}

/** Samples of a file as sox reads them, printed with all their digits: one row a frame. */
function rowsBySox(file: string): number[][] {
  const text = sox([file, '-t', 'dat', '-']).toString('ascii');
  const rows = text.split('\n').filter((line) => line.length > 0 && !line.startsWith(';'));
  return rows.map((line) => line.trim().split(/\s+/).slice(1).map(Number));
}

const CODINGS = [
  { name: '8-bit', args: ['-e', 'unsigned', '-b', '8'], bits: 8, format: 'int' },
  { name: '16-bit', args: ['-e', 'signed', '-b', '16'], bits: 16, format: 'int' },
  { name: '24-bit', args: ['-e', 'signed', '-b', '24'], bits: 24, format: 'int' },
  { name: '32-bit', args: ['-e', 'signed', '-b', '32'], bits: 32, format: 'int' },
  { name: '32-bit float', args: ['-e', 'float', '-b', '32'], bits: 32, format: 'float' },
  { name: '64-bit float', args: ['-e', 'float', '-b', '64'], bits: 64, format: 'float' },
] as const;

const CHANNELS = [1, 2, 3, 5, 8];
const FRAMES = 997;
/** sox prints 11 significant digits of what it holds as 32-bit integers. */
const PRINTED = 1e-9;

function synthesis(channels: number): string[] {
  const tones = Array.from({ length: channels }, (_, i) => ['sine', String(500 * (i + 1))]).flat();
  return ['synth', `${FRAMES}s`, ...tones, 'vol', '0.7'];
}

describe.each(CODINGS)('$name files written by sox', ({ args, bits, format }) => {
  it.each(CHANNELS)('with %i channels are read sample for sample', (channels) => {
    sox(['-r', '96000', '-c', String(channels), '-n', ...args, 'tone.wav', ...synthesis(channels)]);
    const wav = decodeWav(readFileSync(join(folder, 'tone.wav')));
    expect(wav).toMatchObject({ rate_Hz: 96_000, bits, format, openEnded: false });
    const rows = rowsBySox('tone.wav');
    expect(rows).toHaveLength(FRAMES);
    expect(wav.channels.map((samples) => samples.length)).toEqual(Array(channels).fill(FRAMES));
    const worst = Math.max(
      ...rows.flatMap((row, i) => row.map((value, channel) => Math.abs(value - wav.channels[channel]![i]!))),
    );
    expect(worst).toBeLessThan(PRINTED);
  });
});

describe('sox writing to a pipe', () => {
  // Not 8-bit: with an odd number of frames nothing tells its pad byte from one sample more.
  it.each(CODINGS.filter(({ bits }) => bits > 8))(
    'leaves the length of $name samples open, which is seen',
    ({ args, bits }) => {
      const bytes = sox(['-r', '48000', '-c', '1', '-n', ...args, '-t', 'wav', '-', ...synthesis(1)]);
      const wav = decodeWav(bytes);
      expect(wav).toMatchObject({ bits, openEnded: true });
      expect(wav.channels[0]).toHaveLength(FRAMES);
    },
  );
});

describe.each<WavEncoding>(['int16', 'int24', 'int32', 'float32', 'float64'])(
  '%s files read by sox',
  (format) => {
    it.each(CHANNELS)('with %i channels hold what was written', (channels) => {
      const written = Array.from({ length: channels }, (_, channel) =>
        Float64Array.from({ length: FRAMES }, (_, i) => 0.7 * Math.sin(0.01 * (channel + 1) * i)),
      );
      writeFileSync(join(folder, 'ours.wav'), encodeWav({ rate_Hz: 44_100, channels: written, format }));
      const rows = rowsBySox('ours.wav');
      expect(rows).toHaveLength(FRAMES);
      // sox itself computes with 32 bits.
      const half = {
        int16: 2 ** -16,
        int24: 2 ** -24,
        int32: 2 ** -32,
        float32: 2 ** -25,
        float64: 2 ** -32,
      }[format];
      const worst = Math.max(
        ...rows.flatMap((row, i) => row.map((value, channel) => Math.abs(value - written[channel]![i]!))),
      );
      expect(worst).toBeLessThan(half + PRINTED);
    });

    it('reports the rate that was written', () => {
      const channels = [new Float64Array(10)];
      writeFileSync(join(folder, 'rate.wav'), encodeWav({ rate_Hz: 192_000, channels, format }));
      const rate = execFileSync('sox', ['--i', '-r', 'rate.wav'], { cwd: folder, encoding: 'ascii' });
      expect(Number(rate)).toBe(192_000);
    });
  },
);
