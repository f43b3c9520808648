import type { Band } from './analysis.js';
import { powerBetween, readSpectra } from './fft.js';
import { binsOf } from './parts.js';

/**
 * Mean square inside a band of each of several records, every sample weighing the same: no window, and zero
 * padding only fills the transform up.
 */
export function bandPowers(records: readonly Float64Array[], band: Band, rate_Hz: number): number[] {
  const longest = Math.max(...records.map((record) => record.length));
  const frames = 2 ** Math.max(1, Math.ceil(Math.log2(longest)));
  const [low, high] = binsOf(band, rate_Hz / frames, frames);
  return readSpectra(
    records,
    frames,
    (spectrum, i) => (powerBetween(spectrum, low, high) * frames) / records[i]!.length,
  );
}

/** Rms inside a band over records of like length. */
export function bandRms(records: readonly Float64Array[], band: Band, rate_Hz: number): number {
  const powers = bandPowers(records, band, rate_Hz);
  return Math.sqrt(powers.reduce((sum, power) => sum + power, 0) / powers.length);
}
