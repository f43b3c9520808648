import FFT from 'fft.js';

/**
 * Spectrum of one real channel as rms phasors: `bins[2k]` and `bins[2k + 1]` are the real and
 * imaginary part of the cosine at k cycles per record, scaled so that re^2 + im^2 is the mean
 * square that this bin adds to the record. Their sum over k = 0..frames/2 is the record's mean
 * square (Parseval).
 */
export interface Spectrum {
  /** Transform size, a power of two. */
  readonly frames: number;
  readonly bins: Float64Array;
}

/** Largest transform taken: longer records are cut into pieces. */
export const LARGEST_TRANSFORM = 2 ** 20;

interface Plan {
  readonly fft: FFT;
  readonly input: Float64Array;
  readonly output: Float64Array;
}

/** Tables and work space by size: a memo, since both are costly to build and hold nothing between calls. */
const plans = new Map<number, Plan>();

function planFor(frames: number): Plan {
  let plan = plans.get(frames);
  if (!plan) {
    plan = {
      fft: new FFT(frames),
      input: new Float64Array(2 * frames),
      output: new Float64Array(2 * frames),
    };
    plans.set(frames, plan);
  }
  return plan;
}

/**
 * Spectra of real channels, two to a complex transform: one channel goes in as the real part, the
 * next as the imaginary part, and the symmetry of real spectra takes them apart again.
 *
 * @param channels records of at most `frames` samples; shorter ones are padded with zeros
 * @param frames transform size, a power of two
 */
export function spectraOf(channels: readonly Float64Array[], frames: number): Spectrum[] {
  const spectra: Spectrum[] = [];
  for (let i = 0; i < channels.length; i += 2) {
    const [a, b] = [channels[i]!, channels[i + 1] ?? null];
    spectra.push(...transformPair(a, b, frames));
  }
  return spectra;
}

function transformPair(a: Float64Array, b: Float64Array | null, frames: number): Spectrum[] {
  const { fft, input, output } = planFor(frames);
  const scaleA = interleave(a, input, 0);
  const scaleB = b ? interleave(b, input, 1) : 1;
  if (!b) for (let n = 1; n < input.length; n += 2) input[n] = 0;
  fft.transform(output, input);
  const [first, second] = split(output, frames, scaleA, scaleB);
  return b ? [first, second] : [first];
}

/**
 * Puts a channel into every other place of the transform's input and returns the power of two it
 * was divided by. Bringing both channels to like size keeps the rounding of a loud one out of a quiet one.
 */
function interleave(samples: Float64Array, input: Float64Array, offset: number): number {
  let peak = 0;
  for (let n = 0; n < samples.length; n++) {
    const x = samples[n]!;
    const size = x < 0 ? -x : x;
    if (size > peak) peak = size;
  }
  // Clamped so that neither the scale nor its inverse leaves the range of doubles.
  const scale = peak > 0 ? 2 ** Math.max(-1000, Math.min(1000, Math.floor(Math.log2(peak)))) : 1;
  const inverse = 1 / scale;
  for (let n = 0; n < samples.length; n++) input[2 * n + offset] = samples[n]! * inverse;
  for (let n = 2 * samples.length + offset; n < input.length; n += 2) input[n] = 0;
  return scale;
}

/** Takes a pair's transform apart: the first channel's spectrum has even symmetry, i times the second's odd. */
function split(z: Float64Array, frames: number, scaleA: number, scaleB: number): [Spectrum, Spectrum] {
  const a = new Float64Array(frames + 2);
  const b = new Float64Array(frames + 2);
  const unitA = (scaleA * Math.SQRT1_2) / frames;
  const unitB = (scaleB * Math.SQRT1_2) / frames;
  for (let i = 2; i < frames; i += 2) {
    const mirror = 2 * frames - i;
    const re = z[i]!;
    const im = z[i + 1]!;
    const mirrorRe = z[mirror]!;
    const mirrorIm = z[mirror + 1]!;
    a[i] = unitA * (re + mirrorRe);
    a[i + 1] = unitA * (im - mirrorIm);
    b[i] = unitB * (im + mirrorIm);
    b[i + 1] = unitB * (mirrorRe - re);
  }
  // DC and half the rate are their own mirror images.
  a[0] = (scaleA / frames) * z[0]!;
  b[0] = (scaleB / frames) * z[1]!;
  a[frames] = (scaleA / frames) * z[frames]!;
  b[frames] = (scaleB / frames) * z[frames + 1]!;
  return [
    { frames, bins: a },
    { frames, bins: b },
  ];
}

/** Mean square in one bin. */
export function powerAt(spectrum: Spectrum, bin: number): number {
  const re = spectrum.bins[2 * bin]!;
  const im = spectrum.bins[2 * bin + 1]!;
  return re * re + im * im;
}

/** Mean square in bins `from` to `to`, both included; 0 when there are none. */
export function powerBetween(spectrum: Spectrum, from: number, to: number): number {
  const { bins } = spectrum;
  const end = 2 * Math.min(to, spectrum.frames / 2) + 2;
  const first = 2 * Math.max(0, from);
  if (first >= end) return 0;
  // Two bins at a time and four sums, so that no addition waits for the last.
  const pairs = end - ((end - first) % 4);
  let re0 = 0;
  let im0 = 0;
  let re1 = 0;
  let im1 = 0;
  for (let i = first; i < pairs; i += 4) {
    re0 += bins[i]! * bins[i]!;
    im0 += bins[i + 1]! * bins[i + 1]!;
    re1 += bins[i + 2]! * bins[i + 2]!;
    im1 += bins[i + 3]! * bins[i + 3]!;
  }
  if (pairs < end) {
    re0 += bins[pairs]! * bins[pairs]!;
    im0 += bins[pairs + 1]! * bins[pairs + 1]!;
  }
  return re0 + re1 + (im0 + im1);
}

/** The bin with the most power from `from` to `to`, both included. */
export function strongestBin(spectrum: Spectrum, from: number, to: number): number {
  const { bins } = spectrum;
  let [best, most] = [from, -1];
  for (let k = from; k <= to; k++) {
    const power = bins[2 * k]! * bins[2 * k]! + bins[2 * k + 1]! * bins[2 * k + 1]!;
    if (power > most) [best, most] = [k, power];
  }
  return best;
}
