import type { Band } from './analysis.js';
import { type FrequencyRange, fundamentalByFit } from './fundamental.js';
import { fitFrequency, type HarmonicFit, phaseAtStart, takeDriftOff } from './harmonic-fit.js';
import { outsideLines } from './outside-lines.js';
import { bandRms, HIGHEST_ORDER, ordersInBand, type Parts } from './parts.js';

/** Longest stretch fitted as one: over more than this even good clocks wander. */
const LONGEST_FIT = 2 ** 20;

/**
 * Parts of a channel of any length and frequency, from about three cycles up: fundamental and harmonics
 * by a least-squares fit over the whole record, a drift of the gain taken out, noise from the spectrum of what is left, every
 * sample weighing the same. Records above 2^20 frames are cut into equal pieces and the powers averaged.
 *
 * @param range where to look for the tone, frequency over rate; null: anywhere
 * @param bandOf the band for a fundamental, known only once it is found
 * @returns null when no tone stands out
 */
export function fittedParts(
  samples: Float64Array,
  range: FrequencyRange | null,
  bandOf: (fundamental_Hz: number) => Band,
  rate_Hz: number,
): Parts | null {
  const [first, ...rest] = pieces(samples);
  const start = first && fundamentalByFit(first, range);
  if (!start) return null;
  const order = highestOrder(start.cyclesPerSample, first.length);
  const fitted = (piece: Float64Array) => {
    const fit = fitFrequency(piece, start.cyclesPerSample, order);
    takeDriftOff(fit);
    return fit;
  };
  const fits = [first, ...rest].map((piece) => {
    const fit = fitted(piece);
    const own = bandOf(fit.cyclesPerSample * rate_Hz);
    const lines = outsideLines(fit.residue, own, rate_Hz);
    // Harmonics lean on a line that was there when they were fitted.
    return lines === null ? fit : fitted(piece.map((sample, n) => sample - lines[n]!));
  });
  const cyclesPerSample = mean(fits.map((fit) => fit.cyclesPerSample));
  const fundamental_Hz = cyclesPerSample * rate_Hz;
  const band = bandOf(fundamental_Hz);
  return {
    method: 'fitted',
    cyclesPerSample,
    fundamental_rms: rmsOfOrder(fits, 1),
    phase_rad: phaseAtStart(fits[0]!, 1, first.length),
    dc: mean(fits.map((fit) => fit.dc)),
    harmonics: ordersInBand(band, fundamental_Hz)
      .filter((n) => n <= order)
      .map((n) => ({ order: n, frequency_Hz: n * fundamental_Hz, rms: rmsOfOrder(fits, n) })),
    noise_rms: bandRms(
      fits.map((fit) => fit.residue),
      band,
      rate_Hz,
    ),
  };
}

/** The record in equal pieces of at most `LONGEST_FIT` frames; views, not copies. */
export function pieces(samples: Float64Array): Float64Array[] {
  const count = Math.ceil(samples.length / LONGEST_FIT);
  return Array.from({ length: count }, (_, i) =>
    samples.subarray(
      Math.floor((i * samples.length) / count),
      Math.floor(((i + 1) * samples.length) / count),
    ),
  );
}

/** Highest harmonic, at most 20, that stays clear of half the rate by enough to be told from its mirror image. */
function highestOrder(cyclesPerSample: number, frames: number): number {
  const clear = Math.floor((0.5 - 1.5 / frames) / cyclesPerSample);
  return Math.max(1, Math.min(HIGHEST_ORDER, clear));
}

function rmsOfOrder(fits: readonly HarmonicFit[], order: number): number {
  return Math.sqrt(
    mean(
      fits.map((fit) => {
        const { cosine, sine } = fit.orders[order - 1]!;
        return (cosine * cosine + sine * sine) / 2;
      }),
    ),
  );
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
