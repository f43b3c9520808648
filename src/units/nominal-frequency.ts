import { formatQuantity } from './format.js';

/** Nominal values of one decade of the series R40 (ISO 3 and ISO 266, from memory); R10 and R20 are among them. */
const R40 = [
  ...[1, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3],
  ...[3.15, 3.35, 3.55, 3.75, 4, 4.25, 4.5, 4.75, 5, 5.3, 5.6, 6, 6.3, 6.7, 7.1, 7.5, 8, 8.5, 9, 9.5],
] as const;

/** A frequency this near to an exact preferred one, relatively, is that one. */
const NEAR = 1e-3;

/** The nominal value of an exact preferred frequency (31.62 Hz is 31.5 Hz); any other frequency as it is. */
export function nominalFrequency(frequency_Hz: number): number {
  if (!(frequency_Hz > 0)) return frequency_Hz;
  const place = Math.round(40 * Math.log10(frequency_Hz));
  if (Math.abs(frequency_Hz / 10 ** (place / 40) - 1) > NEAR) return frequency_Hz;
  const decade = Math.floor(place / 40);
  return Number((R40[place - 40 * decade]! * 10 ** decade).toPrecision(6));
}

/** A frequency in sentences, tables and charts: `20 Hz`, `31.5 Hz`, `1 kHz`. The one played is listed with the points. */
export const frequencyWords = (frequency_Hz: number): string =>
  formatQuantity(nominalFrequency(frequency_Hz), 'Hz', { figures: 3, trim: true });
