import { powerAt, powerBetween, readSpectra, type Spectrum, strongestBin } from './fft.js';
import { fitFrequency, type HarmonicFit, phaseAtStart } from './harmonic-fit.js';
import { sumOf } from './level.js';
import { HANN, powerGain, type Window, windowed } from './window.js';

/** What is known of the tone before looking, all in bins of the spectrum. */
export interface ToneSearch {
  readonly from: number;
  readonly to: number;
  /** Half width of the main lobe that a pure tone has here. */
  readonly halfLobe: number;
  /** False when any tone will do: then it must also hold a fair share of the power. */
  readonly expected: boolean;
}

/** The lobe's mean bin must stand this far above the mean bin around it; in white noise, peaks reach about 15. */
const STANDS_OUT = 50;
/** Least share of all power, DC left out, that an unannounced tone must hold. A sawtooth's fundamental has 0.61. */
const LEAST_SHARE = 0.2;
/** Below this ratio to the sum of everything, DC included, there is only rounding. */
const ROUNDING = 1e-26;

/**
 * The bin of the strongest component in the search range, or null when it does not stand out from
 * what surrounds it (noise, DC, silence).
 */
export function findTone(spectrum: Spectrum, search: ToneSearch): number | null {
  const half = spectrum.frames / 2;
  const from = Math.max(1, search.from);
  const to = Math.min(half - 1, search.to);
  if (from > to) return null;
  const bin = strongestBin(spectrum, from, to);
  // On the flank of something that peaks outside the range.
  if (powerAt(spectrum, bin) < Math.max(powerAt(spectrum, bin - 1), powerAt(spectrum, bin + 1))) return null;
  const lobe = powerBetween(spectrum, bin - search.halfLobe, bin + search.halfLobe);
  const everything = spectrum.meanSquare;
  if (lobe <= ROUNDING * everything) return null;
  if (!search.expected && lobe < LEAST_SHARE * (everything - powerAt(spectrum, 0))) return null;
  return lobe > STANDS_OUT * surroundings(spectrum, bin, search.halfLobe) ? bin : null;
}

/** Power that a lobe would hold if it were like the bins around it. */
function surroundings(spectrum: Spectrum, bin: number, halfLobe: number): number {
  const reach = Math.max(Math.floor(bin / 2), 16 * halfLobe + 16);
  const low = Math.max(1, bin - reach);
  const high = Math.min(spectrum.frames / 2 - 1, bin + reach);
  const inner = 2 * halfLobe + 1;
  const below = powerBetween(spectrum, low, bin - inner);
  const above = powerBetween(spectrum, bin + inner, high);
  const bins = Math.max(0, bin - inner - low + 1) + Math.max(0, high - bin - inner + 1);
  return bins === 0 ? 0 : ((below + above) / bins) * (2 * halfLobe + 1);
}

/** A constant and a cosine: `dc + amplitude cos(2 pi cyclesPerSample n + phase_rad)`. */
export interface Sine {
  readonly cyclesPerSample: number;
  readonly amplitude: number;
  /** Phase at the first sample, -pi to pi. */
  readonly phase_rad: number;
  readonly dc: number;
  /** Rms of what the fit leaves over. */
  readonly residue_rms: number;
}

/**
 * Four-parameter sine fit of IEEE Std 1057: the frequency is found as well.
 *
 * @param guess frequency over rate, within about half a cycle per record of the truth
 */
export function sineFit4(samples: Float64Array, guess: number): Sine {
  return sineOf(fitFrequency(samples, guess, 1));
}

function sineOf(fit: HarmonicFit): Sine {
  const { cosine, sine } = fit.orders[0]!;
  const squares = fit.residue.reduce((sum, x) => sum + x * x, 0);
  return {
    cyclesPerSample: fit.cyclesPerSample,
    amplitude: Math.hypot(cosine, sine),
    phase_rad: phaseAtStart(fit, 1, fit.residue.length),
    dc: fit.dc,
    residue_rms: Math.sqrt(squares / fit.residue.length),
  };
}

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

/** The strongest tone by a four-parameter sine fit started from a windowed capture; null when none stands out. */
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
