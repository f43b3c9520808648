import { decibelsOfPower } from '../units/decibel.js';
import { powerAt, type Spectrum, spectraOf, strongestBin } from './fft.js';
import { holdsWholeCycles } from './whole-cycles.js';
import { BLACKMAN_HARRIS_7, windowed } from './window.js';

/** A spectrum thinned for drawing. */
export interface DrawableSpectrum {
  readonly frequency_Hz: number[];
  readonly level_dB: number[];
}

/** What a record is drawn by. */
export interface Drawing {
  readonly rate_Hz: number;
  readonly fundamental_Hz: number;
  /** The spectrum of the whole record, where it has been taken already. */
  readonly known?: Spectrum | null;
}

/** Bands from lowest to highest frequency, evenly spaced in log frequency. */
const BANDS = 400;
const LOWEST_HZ = 10;
/** A longer one would show nothing more at the width of a page. */
const LONGEST = 2 ** 18;
/** Nothing is drawn below this. */
const FLOOR_DB = -200;

/**
 * The highest level in each of a few hundred bands of log frequency, from 10 Hz to half the rate, in decibels
 * relative to the fundamental, each with the frequency it was found at. Bands too narrow to hold a bin are
 * left out. Of whole cycles the bins are drawn as they are, otherwise a seven-term window keeps the tone's skirt
 * below -180 dB.
 *
 * @returns null when there is no fundamental to relate to, or the record is too short
 */
export function drawableSpectrum(
  samples: Float64Array,
  { rate_Hz, fundamental_Hz, known = null }: Drawing,
): DrawableSpectrum | null {
  const frames = Math.min(LONGEST, 2 ** Math.floor(Math.log2(samples.length)));
  const bin_Hz = rate_Hz / frames;
  const tone = Math.round(fundamental_Hz / bin_Hz);
  if (!(frames >= 64 && tone >= 2 && tone < frames / 2 - 1)) return null;
  const whole = known?.frames === frames && samples.length === frames ? known : null;
  const { spectrum, reference } = spectrumFor(samples.subarray(0, frames), tone, whole);
  if (reference === 0) return null;
  const ratio = (rate_Hz / 2 / LOWEST_HZ) ** (1 / BANDS);
  const drawn: DrawableSpectrum = { frequency_Hz: [], level_dB: [] };
  let from = Math.max(1, Math.ceil(LOWEST_HZ / bin_Hz));
  for (let band = 1; band <= BANDS; band++) {
    const to = band === BANDS ? frames / 2 : Math.floor((LOWEST_HZ * ratio ** band) / bin_Hz);
    if (to < from) continue;
    const bin = strongestBin(spectrum, from, to);
    const level_dB = decibelsOfPower(powerAt(spectrum, bin) / reference);
    drawn.frequency_Hz.push(bin * bin_Hz);
    drawn.level_dB.push(Math.max(FLOOR_DB, level_dB));
    from = to + 1;
  }
  return drawn;
}

function spectrumFor(
  samples: Float64Array,
  tone: number,
  known: Spectrum | null,
): { spectrum: Spectrum; reference: number } {
  const plain = known ?? spectraOf([samples], samples.length)[0]!;
  if (holdsWholeCycles(plain, tone)) return { spectrum: plain, reference: powerAt(plain, tone) };
  const mean = samples.reduce((sum, x) => sum + x, 0) / samples.length;
  const tapered = windowed(
    samples.map((x) => x - mean),
    BLACKMAN_HARRIS_7,
  );
  const spectrum = spectraOf([tapered], samples.length)[0]!;
  return { spectrum, reference: powerAt(spectrum, strongestBin(spectrum, tone - 1, tone + 1)) };
}
