import { describe, expect, it } from 'vitest';
import {
  powerAt,
  powerBetween,
  readSpectra,
  type Spectrum,
  spectraOf,
  strongestBin,
} from '../../src/measure/fft.js';
import { gaussian, scaled, sine, sum } from './signals.js';

const FRAMES = 64;

/** Discrete Fourier transform straight from its definition, as rms phasors. */
function bySummation(samples: Float64Array, bin: number): [number, number] {
  let [re, im] = [0, 0];
  samples.forEach((x, n) => {
    re += x * Math.cos((2 * Math.PI * bin * n) / samples.length);
    im -= x * Math.sin((2 * Math.PI * bin * n) / samples.length);
  });
  const unit = (bin === 0 || bin === samples.length / 2 ? 1 : Math.SQRT2) / samples.length;
  return [unit * re, unit * im];
}

function furthestFromSum(spectrum: Spectrum, samples: Float64Array): number {
  let furthest = 0;
  for (let bin = 0; bin <= samples.length / 2; bin++) {
    const [re, im] = bySummation(samples, bin);
    furthest = Math.max(
      furthest,
      Math.abs(spectrum.bins[2 * bin]! - re),
      Math.abs(spectrum.bins[2 * bin + 1]! - im),
    );
  }
  return furthest;
}

describe('spectraOf', () => {
  it('takes two real channels out of one complex transform', () => {
    const channels = [gaussian(FRAMES, 1), gaussian(FRAMES, 2), gaussian(FRAMES, 3)];
    const spectra = spectraOf(channels, FRAMES);
    expect(spectra).toHaveLength(3);
    spectra.forEach((spectrum, i) => {
      expect(furthestFromSum(spectrum, channels[i]!)).toBeLessThan(1e-14);
    });
  });

  it('keeps the rounding of a loud channel out of a quiet one', () => {
    const [loud, quiet] = [gaussian(1024, 4), scaled(gaussian(1024, 5), 1e-12)];
    const spectrum = spectraOf([loud, quiet], 1024)[1]!;
    expect(furthestFromSum(spectrum, quiet)).toBeLessThan(1e-12 * 1e-13);
  });

  it('adds up to the mean square of the record, whatever its size', () => {
    for (const size of [1e-200, 1, 1e100]) {
      const samples = scaled(sum(gaussian(256, 6), new Float64Array(256).fill(0.5)), size);
      const meanSquare = samples.reduce((total, x) => total + (x / size) ** 2, 0) / 256;
      const [spectrum] = spectraOf([samples.map((x) => x)], 256);
      const total = spectrum!.bins.reduce((all, x) => all + (x / size) ** 2, 0);
      expect(Math.abs(total / meanSquare - 1)).toBeLessThan(1e-13);
    }
  });

  it('pads short records with zeros', () => {
    const samples = gaussian(40, 7);
    const padded = new Float64Array(FRAMES);
    padded.set(samples);
    expect(furthestFromSum(spectraOf([samples], FRAMES)[0]!, padded)).toBeLessThan(1e-14);
  });

  it('leaves nothing behind from an earlier, longer or second channel', () => {
    spectraOf([gaussian(FRAMES, 8), gaussian(FRAMES, 9)], FRAMES);
    const [spectrum] = spectraOf([sine(FRAMES, 5 / FRAMES)], FRAMES);
    expect(powerAt(spectrum!, 5)).toBeCloseTo(0.5, 14);
    expect(powerBetween(spectrum!, 0, 4) + powerBetween(spectrum!, 6, FRAMES / 2)).toBeLessThan(1e-30);
    expect(strongestBin(spectrum!, 1, FRAMES / 2)).toBe(5);
  });
});

describe('a spectrum', () => {
  it.each([2, 64, 2 ** 16])('of %d points knows the sum of its bins', (frames) => {
    for (const { bins, meanSquare } of spectraOf([gaussian(frames, 11), gaussian(frames, 12)], frames)) {
      const total = bins.reduce((sum, x) => sum + x * x, 0);
      expect(Math.abs(meanSquare / total - 1)).toBeLessThan(1e-12);
    }
  });
});

describe('readSpectra', () => {
  const channels = [13, 14, 15].map((seed) => gaussian(FRAMES, seed));
  const kept = spectraOf(channels, FRAMES);

  it('shows the spectrum of each channel, one after the other', () => {
    const seen = readSpectra(channels, FRAMES, ({ bins }, i) => ({ bins: bins.slice(), i }));
    expect(seen).toEqual(kept.map(({ bins }, i) => ({ bins, i })));
  });

  it('leaves a spectrum alone while another one of the same size is read, or an error is thrown', () => {
    readSpectra(channels, FRAMES, (spectrum, i) => {
      readSpectra([gaussian(FRAMES, 16)], FRAMES, () => null);
      expect(spectrum).toEqual(kept[i]);
    });
    const fail = () => {
      throw new Error('on purpose');
    };
    expect(() => readSpectra(channels, FRAMES, fail)).toThrow('on purpose');
    const [power] = readSpectra(channels, FRAMES, (spectrum) => powerAt(spectrum, 3));
    expect(power).toBe(powerAt(kept[0]!, 3));
  });

  it('never writes into a spectrum that has been handed out for good', () => {
    const [mine] = spectraOf(channels, FRAMES);
    readSpectra([gaussian(FRAMES, 17)], FRAMES, () => null);
    spectraOf([gaussian(FRAMES, 18)], FRAMES);
    expect(mine).toEqual(kept[0]);
  });
});

describe('powerBetween', () => {
  it('is zero where there are no bins', () => {
    const [spectrum] = spectraOf([gaussian(FRAMES, 10)], FRAMES);
    expect(powerBetween(spectrum!, 7, 6)).toBe(0);
    expect(powerBetween(spectrum!, FRAMES, 2 * FRAMES)).toBe(0);
    expect(powerBetween(spectrum!, -3, FRAMES)).toBeCloseTo(powerBetween(spectrum!, 0, FRAMES / 2), 14);
  });
});
