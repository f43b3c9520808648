import { peakOf } from './level.js';
import { type RowTransform, rowTransform } from './row-transform.js';
import { takeApart } from './take-apart.js';

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
  /** Sum over all bins: the mean square of the record, DC included. */
  readonly meanSquare: number;
}

/** What is made once for a size, since it is costly to build. */
interface TransformSize {
  readonly transform: RowTransform;
  /** Bins of two channels for spectra that are read at once and not kept; null until the first. */
  bins: [Float64Array, Float64Array] | null;
  inUse: boolean;
}

const sizes = new Map<number, TransformSize>();

function sizeOf(frames: number): TransformSize {
  let size = sizes.get(frames);
  if (!size) {
    size = { transform: rowTransform(frames), bins: null, inUse: false };
    sizes.set(frames, size);
  }
  return size;
}

/**
 * Spectra of real channels, two to a complex transform: one channel goes in as the real part, the
 * next as the imaginary part, and the symmetry of real spectra takes them apart again.
 *
 * @param channels records of at most `frames` samples; shorter ones are padded with zeros
 * @param frames transform size, a power of two
 */
export function spectraOf(channels: readonly Float64Array[], frames: number): Spectrum[] {
  const { transform } = sizeOf(frames);
  return pairsOf(channels).flatMap((pair) =>
    transformPair(transform, pair, pair.map(peakOf), newBins(frames)),
  );
}

/**
 * As `spectraOf`, for spectra that nobody keeps: the same arrays serve again and again, where new arrays of some
 * megabytes would cost as much time as half a transform.
 *
 * @param read what is to be told from the spectrum of channel i; must not hand the spectrum on
 * @param peaks largest absolute sample of each channel, where they are known already
 */
export function readSpectra<T>(
  channels: readonly Float64Array[],
  frames: number,
  read: (spectrum: Spectrum, i: number) => T,
  peaks = channels.map(peakOf),
): T[] {
  const size = sizeOf(frames);
  // Whoever reads a spectrum may want another one of the same size meanwhile.
  if (size.inUse) return spectraOf(channels, frames).map(read);
  size.bins ??= newBins(frames);
  const { transform, bins } = size;
  size.inUse = true;
  try {
    return pairsOf(channels).flatMap((pair, n) => {
      const spectra = transformPair(transform, pair, peaks.slice(2 * n, 2 * n + 2), bins);
      return spectra.map((spectrum, i) => read(spectrum, 2 * n + i));
    });
  } finally {
    size.inUse = false;
  }
}

function pairsOf(channels: readonly Float64Array[]): Float64Array[][] {
  return Array.from({ length: Math.ceil(channels.length / 2) }, (_, n) => channels.slice(2 * n, 2 * n + 2));
}

function newBins(frames: number): [Float64Array, Float64Array] {
  return [new Float64Array(frames + 2), new Float64Array(frames + 2)];
}

const NOTHING = new Float64Array(0);

function transformPair(
  transform: RowTransform,
  pair: readonly Float64Array[],
  peaks: readonly number[],
  into: readonly [Float64Array, Float64Array],
): Spectrum[] {
  const [a, b] = [pair[0]!, pair[1] ?? NOTHING];
  const [scaleA, scaleB] = [scaleOf(peaks[0]!), scaleOf(peaks[1] ?? 0)];
  transform.transform({ samples: a, factor: 1 / scaleA }, { samples: b, factor: 1 / scaleB });
  const bins = takeApart(transform, { scale: scaleA, bins: into[0] }, { scale: scaleB, bins: into[1] });
  return pair.map((_, i) => ({ frames: transform.frames, ...bins[i]! }));
}

/**
 * The power of two below a record's peak. Dividing both channels of a pair by theirs keeps the rounding of a loud one
 * out of a quiet one.
 */
function scaleOf(peak: number): number {
  // Clamped so that neither the scale nor its inverse leaves the range of doubles.
  return peak > 0 ? 2 ** Math.max(-1000, Math.min(1000, Math.floor(Math.log2(peak)))) : 1;
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
