import type { Reading } from '../../record/run-record.js';

/** What the figures mean, in words that travel with every document. */
export const DEFINITIONS = {
  power: 'V²/R, with V the rms of the whole band-limited voltage at the load and R the measured resistance',
  thdn: 'THD+N: rms of everything in the band but the fundamental, relative to the total rms in the band (as a notch filter reads it, AES17)',
  thd: 'THD (THD_F): rms of harmonics 2 to 20 that lie in the band, relative to the fundamental',
  thdr: 'THD_R: rms of the same harmonics, relative to the root of the summed squares of fundamental and harmonics',
  sinad: 'SINAD: the inverse of the THD+N ratio, in dB',
  knee: 'Knee: the power above which THD+N stays over twice the trend of the lower levels; the trend is fitted to the longest series of levels that it explains within 25 %',
  hardness: '0.1 to 1 % interval: decibels of power between 0.1 % and 1 % THD+N',
  uncertainty:
    'Expanded uncertainty U for 95.45 %: coverage factor k = 2, more if there are few degrees of freedom',
} as const;

/** The measuring bands that readings were taken in, each once, in order. */
export function bandsOf(readings: readonly Reading[]): readonly (readonly [number, number])[] {
  const found = new Map(readings.map(({ band_Hz }) => [band_Hz.join(), band_Hz] as const));
  return [...found.values()].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
}
