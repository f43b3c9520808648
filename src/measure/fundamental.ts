import { powerBetween, readSpectra, type Spectrum } from './fft.js';
import { findTone } from './find-tone.js';
import { type Sine, sineFit4 } from './sine-fit.js';
import { sumOf } from './sums.js';
import { HANN, powerGain, type Window, windowed } from './window.js';

export interface Fundamental {
  readonly cyclesPerSample: number;
  readonly rms: number;
}

/** A frequency range, frequency over rate. */
export type FrequencyRange = readonly [low: number, high: number];

/** Records with fewer cycles are not searched: tone, DC and mirror image would run into one another. */
export const LEAST_CYCLES = 3;

/** Fewer samples cannot hold that many cycles of anything below half the rate. */
const FEWEST_SAMPLES = 8;

/** The fundamental of a record that holds `bin` whole cycles, with its phase (of the cosine, at frame 0). */
export function fundamentalByBin(
  spectrum: Spectrum,
  bin: number,
): Fundamental & { readonly phase_rad: number } {
  const [re, im] = [spectrum.bins[2 * bin]!, spectrum.bins[2 * bin + 1]!];
  return {
    cyclesPerSample: bin / spectrum.frames,
    rms: Math.hypot(re, im),
    phase_rad: Math.atan2(im, re),
  };
}

/**
 * The strongest tone by its main lobe under a window: rms from the lobe's power, which no offset from
 * a bin centre changes, frequency from the lobe's centre of gravity. Accurate to the window's side
 * lobes as long as DC, mirror image and harmonics stay out of the lobe: `halfLobe_bins` cycles or more.
 *
 * @param range where to look, frequency over rate; null: anywhere from 3 cycles per record up
 * @returns null when no tone stands out
 */
export function fundamentalByWindow(
  samples: Float64Array,
  window: Window,
  range: FrequencyRange | null = null,
): Fundamental | null {
  if (samples.length < FEWEST_SAMPLES) return null;
  const mean = sumOf(samples) / samples.length;
  const size = 2 ** Math.ceil(Math.log2(samples.length));
  const stretch = size / samples.length;
  const halfLobe = Math.ceil(window.halfLobe_bins * stretch);
  const [low, high] = range ?? [0, 0.5];
  const search = {
    from: Math.max(Math.floor(low * size), Math.ceil((LEAST_CYCLES - 0.5) * stretch)),
    to: Math.ceil(high * size),
    halfLobe,
    expected: range !== null,
  };
  const tapered = windowed(
    samples.map((x) => x - mean),
    window,
  );
  const [found] = readSpectra([tapered], size, (spectrum) => {
    const bin = findTone(spectrum, search);
    return bin === null ? null : lobe(spectrum, bin, halfLobe, samples.length, window);
  });
  return found!;
}

/** Drifting noise heaps up in a record's slowest cycles: a tone so slow must hold this part of the power. */
const SLOW_CYCLES = 16;
const SLOW_SHARE = 0.6;

/** The strongest tone by a four-parameter sine fit started from a windowed look; null when none stands out. */
export function fundamentalByFit(samples: Float64Array, range: FrequencyRange | null = null): Sine | null {
  const guess = fundamentalByWindow(samples, HANN, range);
  if (!guess) return null;
  const fit = sineFit4(samples, guess.cyclesPerSample);
  const power = fit.amplitude ** 2 / 2;
  const share = power / (power + fit.residue_rms ** 2);
  const slow = fit.cyclesPerSample * samples.length < SLOW_CYCLES;
  return range === null && slow && share < SLOW_SHARE ? null : fit;
}

function lobe(
  spectrum: Spectrum,
  bin: number,
  halfLobe: number,
  frames: number,
  window: Window,
): Fundamental {
  const { bins, frames: size } = spectrum;
  const [from, to] = [Math.max(1, bin - halfLobe), Math.min(size / 2 - 1, bin + halfLobe)];
  let moment = 0;
  for (let k = from; k <= to; k++) moment += (k - bin) * (bins[2 * k]! ** 2 + bins[2 * k + 1]! ** 2);
  const power = powerBetween(spectrum, from, to);
  return {
    cyclesPerSample: (bin + moment / power) / size,
    rms: Math.sqrt((power * size) / (frames * powerGain(window))),
  };
}
