import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import type { ChannelAnalysis } from '../../src/measure/analysis.js';
import { clip, gaussian, periodic, relativeError, scaled, sine, sum } from '../measure/signals.js';

interface Figures {
  readonly fundamental_Hz: number;
  readonly fundamental_rms: number;
  readonly thd_percent: number;
  readonly thdn_percent: number;
  readonly noise_rms: number;
  readonly harmonics: number;
}

const PYTHON = '/usr/bin/python3';
const SCRIPT = join(import.meta.dirname, 'analyse-scipy.py');
let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-scipy-'));
});

afterAll(() => {
  rmSync(folder, { recursive: true });
});

/** A plain 32-bit float WAV file: three chunks, nothing else. */
function wavFile(channels: readonly Float64Array[], rate_Hz: number): Buffer {
  const frames = channels[0]!.length;
  const frameBytes = 4 * channels.length;
  const header = Buffer.alloc(44);
  header.write('RIFF', 0);
  header.writeUInt32LE(36 + frames * frameBytes, 4);
  header.write('WAVEfmt ', 8);
  header.writeUInt32LE(16, 16);
  header.writeUInt16LE(3, 20);
  header.writeUInt16LE(channels.length, 22);
  header.writeUInt32LE(rate_Hz, 24);
  header.writeUInt32LE(rate_Hz * frameBytes, 28);
  header.writeUInt16LE(frameBytes, 32);
  header.writeUInt16LE(32, 34);
  header.write('data', 36);
  header.writeUInt32LE(frames * frameBytes, 40);
  const data = new Float32Array(frames * channels.length);
  channels.forEach((channel, c) => {
    channel.forEach((x, n) => {
      data[n * channels.length + c] = x;
    });
  });
  return Buffer.concat([header, Buffer.from(data.buffer)]);
}

/** Both computations on the same file's samples. */
function both(channels: readonly Float64Array[], rate_Hz: number, method: 'coherent' | 'fit') {
  const path = join(folder, 'capture.wav');
  writeFileSync(path, wavFile(channels, rate_Hz));
  const own = analyse(
    channels.map((samples) => Float64Array.from(Float32Array.from(samples))),
    { rate_Hz },
  );
  const band = own[0]!.band_Hz.map(String);
  const printed = execFileSync(PYTHON, [SCRIPT, path, method, ...band], { encoding: 'utf8' });
  return { own, theirs: JSON.parse(printed) as Figures[] };
}

const COMPARED = ['fundamental_rms', 'thd_percent', 'thdn_percent', 'noise_rms'] as const;

/** The largest relative difference of any figure. */
function worst(own: ChannelAnalysis, theirs: Figures): number {
  return Math.max(...COMPARED.map((figure) => relativeError(own[figure]!, theirs[figure])));
}

describe('files of whole cycles', () => {
  it.each([
    [48_000, 65_536, 1365],
    [48_000, 65_536, 27],
    [44_100, 32_768, 743],
    [96_000, 131_072, 6827],
    [192_000, 262_144, 9557],
  ])('at %d Hz of %d frames and %d cycles read as scipy reads them', (rate_Hz, frames, cycles) => {
    const tone = { cycles, frames };
    const noise = scaled(gaussian(frames, 1), 1e-4);
    const channels = [
      sum(
        periodic(tone, (x) => 0.5 * clip(1.1 * Math.sin(x))),
        noise,
      ),
      periodic(tone, (x) => 0.9 * Math.sin(x) - 0.01 * Math.sin(x) ** 3 + 0.002 * Math.sin(x) ** 2 - 0.1),
      sum(
        periodic(tone, (x) => Math.max(-0.3, 0.5 * Math.sin(x + 1))),
        noise,
        sine(frames, 50.2 / rate_Hz, 1e-3),
      ),
    ];
    const { own, theirs } = both(channels, rate_Hz, 'coherent');
    own.forEach((found, i) => {
      expect(found.method).toBe('coherent');
      expect(found.fundamental_Hz).toBeCloseTo(theirs[i]!.fundamental_Hz, 9);
      expect(found.harmonics_in_band).toBe(theirs[i]!.harmonics);
      expect(worst(found, theirs[i]!)).toBeLessThan(1e-6);
    });
  });
});

/** A drift of gain is fitted, too, which the reference does not: two more parameters among the values that the band can hold. */
const ofDrift = (frames: number, rate_Hz: number) => 1 - Math.sqrt(1 - 2 / ((2 * 20_000 * frames) / rate_Hz));

describe('files of broken cycles', () => {
  it.each([
    [48_000, 48_000, 997.3],
    [44_100, 30_011, 440],
    [48_000, 65_536, 999],
    [96_000, 20_000, 61.7],
  ])('at %d Hz of %d frames and %f Hz read as scipy reads them', (rate_Hz, frames, frequency_Hz) => {
    const f = frequency_Hz / rate_Hz;
    const harmonics = [2, 3, 5, 7].map((order) => sine(frames, order * f, 0.003 / order, order));
    const channel = sum(sine(frames, f, 0.5, 0.3), ...harmonics, scaled(gaussian(frames, 2), 2e-4));
    const { own, theirs } = both([channel.map((x) => x + 0.05)], rate_Hz, 'fit');
    expect(own[0]!.method).toBe('fitted');
    expect(relativeError(own[0]!.fundamental_Hz, theirs[0]!.fundamental_Hz)).toBeLessThan(1e-6);
    expect(own[0]!.harmonics_in_band).toBe(theirs[0]!.harmonics);
    expect(worst(own[0]!, theirs[0]!)).toBeLessThan(1e-3 + ofDrift(frames, rate_Hz));
  });
});
