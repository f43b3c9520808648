import type { Band } from './analysis.js';
import type { Spectrum } from './fft.js';
import { fundamentalByBin } from './fundamental.js';
import { gainDrift, powerBesides } from './gain-drift.js';
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
