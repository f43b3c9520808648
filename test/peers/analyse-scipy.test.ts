import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
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

const PYTHON = '/usr/bin/python3';
const SCRIPT = join(import.meta.dirname, 'analyse-scipy.py');

interface File {
  readonly channels: readonly Float64Array[];
  readonly rate_Hz: number;
}

/** Both computations on the samples of each file. The other is started once for all of them: it takes a second to load. */
function both(files: readonly File[], method: 'coherent' | 'fit') {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-scipy-'));
  try {
    const own = files.map(({ channels, rate_Hz }) =>
      analyse(
        channels.map((samples) => Float64Array.from(Float32Array.from(samples))),
        { rate_Hz },
      ),
    );
    const given = files.map(({ channels, rate_Hz }, i) => {
      const path = join(folder, `${i}.wav`);
      writeFileSync(path, wavFile(channels, rate_Hz));
      return [path, method, ...own[i]![0]!.band_Hz];
    });
    const printed = execFileSync(PYTHON, [SCRIPT], { input: JSON.stringify(given), encoding: 'utf8' });
    const theirs = JSON.parse(printed) as Figures[][];
    return own.map((found, i) => ({ own: found, theirs: theirs[i]! }));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const COMPARED = ['fundamental_rms', 'thd_percent', 'thdn_percent', 'noise_rms'] as const;

/** The largest relative difference of any figure. */
function worst(own: ChannelAnalysis, theirs: Figures): number {
  return Math.max(...COMPARED.map((figure) => relativeError(own[figure]!, theirs[figure])));
}

const WHOLE = [
  [48_000, 65_536, 1365],
  [48_000, 65_536, 27],
  [44_100, 32_768, 743],
  [96_000, 131_072, 6827],
  [192_000, 262_144, 9557],
] as const;

function wholeCycles([rate_Hz, frames, cycles]: (typeof WHOLE)[number]): File {
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
  return { channels, rate_Hz };
}

describe('files of whole cycles', () => {
  let found: ReturnType<typeof both>;
  beforeAll(() => {
    found = both(WHOLE.map(wholeCycles), 'coherent');
  });

  it.each(WHOLE)('at %d Hz of %d frames and %d cycles read as scipy reads them', (...file) => {
    const { own, theirs } = found[WHOLE.findIndex((one) => one.join() === file.join())]!;
    own.forEach((one, i) => {
      expect(one.method).toBe('coherent');
      expect(one.fundamental_Hz).toBeCloseTo(theirs[i]!.fundamental_Hz, 9);
      expect(one.harmonics_in_band).toBe(theirs[i]!.harmonics);
      expect(worst(one, theirs[i]!)).toBeLessThan(1e-6);
    });
  });
});

/** A drift of gain is fitted, too, which the reference does not: two more parameters among the values that the band can hold. */
const ofDrift = (frames: number, rate_Hz: number) => 1 - Math.sqrt(1 - 2 / ((2 * 20_000 * frames) / rate_Hz));

const BROKEN = [
  [48_000, 48_000, 997.3],
  [44_100, 30_011, 440],
  [48_000, 65_536, 999],
  [96_000, 20_000, 61.7],
] as const;

function brokenCycles([rate_Hz, frames, frequency_Hz]: (typeof BROKEN)[number]): File {
  const f = frequency_Hz / rate_Hz;
  const harmonics = [2, 3, 5, 7].map((order) => sine(frames, order * f, 0.003 / order, order));
  const channel = sum(sine(frames, f, 0.5, 0.3), ...harmonics, scaled(gaussian(frames, 2), 2e-4));
  return { channels: [channel.map((x) => x + 0.05)], rate_Hz };
}

describe('files of broken cycles', () => {
  let found: ReturnType<typeof both>;
  beforeAll(() => {
    found = both(BROKEN.map(brokenCycles), 'fit');
  });

  it.each(BROKEN)('at %d Hz of %d frames and %f Hz read as scipy reads them', (...file) => {
    const [rate_Hz, frames] = file;
    const { own, theirs } = found[BROKEN.findIndex((one) => one.join() === file.join())]!;
    expect(own[0]!.method).toBe('fitted');
    expect(relativeError(own[0]!.fundamental_Hz, theirs[0]!.fundamental_Hz)).toBeLessThan(1e-6);
    expect(own[0]!.harmonics_in_band).toBe(theirs[0]!.harmonics);
    expect(worst(own[0]!, theirs[0]!)).toBeLessThan(1e-3 + ofDrift(frames, rate_Hz));
  });
});
