import { truncateSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { encodeWav } from '../../../src/signal/encode-wav.js';
import { gaussian, ONE_KILOHERTZ, periodic } from '../../measure/signals.js';
import { ascii, formatChunk, little } from '../../signal/wav-bytes.js';
import { emptyFolder, ohmest, put } from '../ohmest.js';

const RATE_HZ = 48_000;
const wav = (...channels: Float64Array[]) => encodeWav({ rate_Hz: RATE_HZ, channels, format: 'float32' });
/** Half of full scale with 1 % of third harmonic. */
const third = periodic(ONE_KILOHERTZ, (phase) => 0.5 * Math.sin(phase) + 0.005 * Math.sin(3 * phase));
const clean = periodic(ONE_KILOHERTZ, (phase) => 0.25 * Math.sin(phase));
const good = wav(third, clean);

/** Header of a file of 8 bits and one channel. */
const eightBits = (frames: number): Uint8Array =>
  Uint8Array.from([
    ...[...ascii('RIFF'), ...little(frames + 36, 4), ...ascii('WAVE')],
    ...formatChunk({ bits: 8 }),
    ...[...ascii('data'), ...little(frames, 4)],
  ]);

describe('analyse', () => {
  const cwd = emptyFolder();
  const here = (...args: string[]) => ohmest(['analyse', ...args], { cwd });
  const document = async (...args: string[]) => JSON.parse((await here(...args, '--json')).stdout);

  beforeAll(() => {
    put(cwd, {
      'good.wav': good,
      'no-tone.wav': wav(gaussian(65_536, 1).map((x) => 0.05 * x)),
      'silence.wav': wav(new Float64Array(65_536)),
      'no-number.wav': wav(
        clean,
        clean.map((x, i) => (i === 9 ? Number.NaN : x)),
      ),
      'empty.wav': '',
      'no-samples.wav': good.slice(0, good.indexOf(0x64, 36) + 8),
      'truncated.wav': good.slice(0, good.length / 2),
      'text.wav': 'This is no sound.\n'.repeat(100),
      'three.wav': wav(clean, clean, clean),
      'sparse.wav': good,
      'dense.wav': eightBits(80_000_000),
    });
    // Holes take no room on the disk.
    truncateSync(join(cwd, 'sparse.wav'), 3 * 2 ** 30);
    truncateSync(join(cwd, 'dense.wav'), 80_000_044);
  });

  it('--json gives the fields that are promised, channel by channel', async () => {
    const found = await document('good.wav');
    expect(found).toMatchObject({
      file: 'good.wav',
      rate_Hz: RATE_HZ,
      frames: 65_536,
      band_Hz: [20, 20_000],
    });
    expect(found.channels.map(({ channel }: { channel: number }) => channel)).toEqual([1, 2]);
    const fields = [
      ...['channel', 'fundamental_Hz', 'fundamental_rms', 'rms', 'thd_percent', 'thdn_percent', 'sinad_dB'],
      ...['noise_rms', 'dc', 'peak', 'harmonics', 'gaps', 'flags'],
    ];
    for (const channel of found.channels) for (const field of fields) expect(channel).toHaveProperty(field);
  });

  it('measures a tone of half the scale with 1 % of third harmonic as what it is', async () => {
    const [channel] = (await document('good.wav')).channels;
    // 1365 cycles in 65 536 frames.
    expect(Math.abs(channel.fundamental_Hz / ((1365 * RATE_HZ) / 65_536) - 1)).toBeLessThan(1e-6);
    expect(Math.abs(channel.fundamental_rms / (0.5 / Math.SQRT2) - 1)).toBeLessThan(1e-6);
    // THD relative to the fundamental; THD+N relative to everything. Single precision leaves some 1e-7.
    expect(Math.abs(channel.thd_percent - 1)).toBeLessThan(1e-5);
    expect(Math.abs(channel.thdn_percent - 1 / Math.hypot(1, 0.01))).toBeLessThan(1e-5);
    const [h3] = channel.harmonics.filter(({ order }: { order: number }) => order === 3);
    expect(Math.abs(h3.rms / (0.005 / Math.SQRT2) - 1)).toBeLessThan(1e-5);
    expect([channel.gaps, channel.flags]).toEqual([[], []]);
  });

  it('says it in a table for a person, without escape codes', async () => {
    const { status, stdout, stderr } = await here('good.wav');
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(
      /good\.wav: 65536 frames at 48000 Hz, measured from 20(\.\d+)? Hz to 20(\.\d+)? kHz/,
    );
    // Half of full scale: 20 log10(0.5) = -6.021 dB.
    expect(stdout).toMatch(/^1 .*-6\.021 dBFS +1(\.\d+)? %/m);
    expect(stdout).not.toContain('\u001b');
  });

  it.each(['20:2000', '20 Hz:2 kHz'])('--band %s leaves the third harmonic out', async (band) => {
    const found = await document('good.wav', '--band', band);
    expect(found.band_Hz).toEqual([20, 2000]);
    expect(found.channels[0].thdn_percent).toBeLessThan(1e-4);
  });

  it.each(['3000', '3 kHz'])('--frequency %s takes the third harmonic for the tone', async (frequency) => {
    const [channel] = (await document('good.wav', '--frequency', frequency)).channels;
    expect(Math.abs(channel.fundamental_Hz - 3000)).toBeLessThan(1);
  });

  it('--bench gives volts at the load', async () => {
    const [channel] = (await document('three.wav', '--bench', 'seven-shared')).channels;
    // 0.25 of a scale of 2 V rms, an attenuator of 25.
    expect(Math.abs(channel.fundamental_rms / (0.25 * 2 * 25) - 1)).toBeLessThan(1e-6);
    expect((await here('three.wav', '--bench', 'seven-shared')).stdout).toMatch(/12\.5\d* V/);
  });

  it.each([
    [['no-tone.wav'], /no channel has a test tone/],
    [['silence.wav'], /no channel has a test tone/],
    [['empty.wav'], /the file is empty/],
    [['no-samples.wav'], /sample/],
    [['truncated.wav'], /truncated|cut|promises|short/],
    [['text.wav'], /WAV/],
    [['no-number.wav'], /no-number\.wav, channel 2, frame 9: the sample is NaN/],
    [['none.wav'], /there is no such file/],
    [['sparse.wav'], /this file is longer than 257 MiB/],
    [['dense.wav'], /the file holds 80000000 frames of 1 channel\. At most 67108864 frames/],
    [['.'], /this is a folder/],
    [['good.wav', '--band', '20'], /'20' is not a band/],
    [['good.wav', '--band', '200:20'], /'200:20' is not a band/],
    [['good.wav', '--band', '20:30000'], /'20:30000' is not a band/],
    [['good.wav', '--band', '20 V:20 kHz'], /--band: expected a frequency .*20 V/],
    [['good.wav', '--frequency', '24000'], /24000/],
    [['good.wav', '--frequency', 'high'], /--frequency: expected a frequency .*'high'/],
    [['three.wav', '--bench', 'stiff-pair'], /the file has 3 channels, the bench Stiff pair only 2/],
  ])('%j gets one clear sentence and status 2', async (args, said) => {
    const { status, stdout, stderr } = await here(...args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(said);
    expect(stderr).toMatch(/^ohmest: [^\n]+\.\n$/);
  });
});
