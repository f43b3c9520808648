import type { Band } from './analysis.js';
import { powerAt, powerBetween, type Spectrum } from './fft.js';
import { fundamentalByBin } from './fundamental.js';
import { binsOf, ordersInBand, type Parts } from './parts.js';

/**
 * Parts of a channel whose record holds a whole number of cycles: fundamental and harmonics are single
 * bins, noise is the sum of all other bins in the band (Parseval; exact, no window). What a gain that drifts within the
 * record puts beside the tone is taken out.
 *
 * @param cycles whole cycles in the record: the fundamental's bin
 */
export function coherentParts(spectrum: Spectrum, cycles: number, band: Band, rate_Hz: number): Parts {
  const { frames } = spectrum;
  const bin_Hz = rate_Hz / frames;
  const fundamental = fundamentalByBin(spectrum, cycles);
  const orders = ordersInBand(band, cycles * bin_Hz).filter((order) => order * cycles <= frames / 2);
  const drift = gainDrift(spectrum, cycles);
  const powerIn = (from: number, to: number) => powerBesides(spectrum, cycles, drift, [from, to]);
  return {
    method: 'coherent',
    cyclesPerSample: fundamental.cyclesPerSample,
    fundamental_rms: fundamental.rms,
    phase_rad: fundamental.phase_rad,
    dc: spectrum.bins[0]!,
    harmonics: orders.map((order) => ({
      order,
      frequency_Hz: order * cycles * bin_Hz,
      rms: Math.sqrt(powerIn(order * cycles, order * cycles)),
    })),
    noise_rms: Math.sqrt(powerOfTheRest(powerIn, cycles, orders, binsOf(band, bin_Hz, frames))),
  };
}

/** Adds up from tone to tone: subtracting tones from a total would drown a small rest in rounding. */
function powerOfTheRest(
  powerIn: (from: number, to: number) => number,
  cycles: number,
  orders: readonly number[],
  [first, last]: readonly [number, number],
): number {
  let [sum, from] = [0, first];
  for (const order of [1, ...orders]) {
    const tone = order * cycles;
    sum += powerIn(from, Math.min(tone - 1, last));
    from = Math.max(from, tone + 1);
  }
  return sum + powerIn(from, last);
}

/** Bins on either side of the tone that the drift is told by. */
const TOLD_BY = 3;
/** A drift must account for this part of the power in them: sidebands of hum and noise have another shape. */
const ACCOUNTS_FOR = 0.9;
/** Below this part of the residue's power (0.005 % of THD+N) it does not show. */
const SHOWS = 1e-4;

/**
 * By which share of itself the tone grows, in a straight line, from the beginning of a record of whole cycles to its end;
 * 0 where the bins beside the tone do not show such a line.
 *
 * A ramp d (t / T - 1/2) times the tone puts d times the tone times the transform of the ramp beside it: in bin k off, its
 * size is d / (2 pi k). Derived; no source. Only the part in phase with the tone is a gain; the other is a frequency.
 */
function gainDrift(spectrum: Spectrum, cycles: number): number {
  let [product, squares, seen] = [0, 0, 0];
  for (const k of besideTone(spectrum, cycles)) {
    const [re, im] = leaked(spectrum, cycles, cycles + k);
    const [seenRe, seenIm] = [spectrum.bins[2 * (cycles + k)]!, spectrum.bins[2 * (cycles + k) + 1]!];
    product += re * seenRe + im * seenIm;
    squares += re * re + im * im;
    seen += seenRe * seenRe + seenIm * seenIm;
  }
  if (squares === 0) return 0;
  const drift = product / squares;
  const told = drift * drift * squares;
  const rest = spectrum.meanSquare - powerAt(spectrum, cycles) - powerAt(spectrum, 0);
  return told >= ACCOUNTS_FOR * seen && told >= SHOWS * rest ? drift : 0;
}

/** Mean square in bins `from` to `to`, both included, without what a drift of the tone puts there. */
function powerBesides(
  spectrum: Spectrum,
  cycles: number,
  drift: number,
  [from, to]: readonly [from: number, to: number],
): number {
  if (drift === 0) return powerBetween(spectrum, from, to);
  let sum = 0;
  for (let bin = from; bin <= Math.min(to, spectrum.frames / 2); bin += 1) {
    const [re, im] = leaked(spectrum, cycles, bin);
    sum += (spectrum.bins[2 * bin]! - drift * re) ** 2 + (spectrum.bins[2 * bin + 1]! - drift * im) ** 2;
  }
  return sum;
}

function besideTone(spectrum: Spectrum, cycles: number): number[] {
  const offsets = Array.from({ length: TOLD_BY }, (_, i) => i + 1).flatMap((k) => [-k, k]);
  return offsets.filter((k) => cycles + k > 0 && cycles + k < spectrum.frames / 2);
}

/** What a drift of 1 puts into a bin: the tone, and its mirror image, times the transform of the ramp. */
function leaked({ bins, frames }: Spectrum, cycles: number, bin: number): readonly [number, number] {
  const [re, im] = [bins[2 * cycles]!, bins[2 * cycles + 1]!];
  const [near, far] = [rampAt(bin - cycles, frames), rampAt(bin + cycles, frames)];
  return [
    re * near.re - im * near.im + (re * far.re + im * far.im),
    re * near.im + im * near.re + (re * far.im - im * far.re),
  ];
}

/** Transform, over the frames, of n / frames - 1/2: (i cot(pi k / frames) - 1) / (2 frames). */
function rampAt(k: number, frames: number): { readonly re: number; readonly im: number } {
  return { re: -1 / (2 * frames), im: 1 / (2 * frames * Math.tan((Math.PI * k) / frames)) };
}
