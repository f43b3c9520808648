import type { Band } from './analysis.js';
import type { FlagCode } from './flags.js';
import { ImpossibleRequest } from './measure-errors.js';

const LOW_HZ = 20;
const AUDIO_TOP_HZ = 20_000;
const WIDE_TOP_HZ = 80_000;
/** Above this fundamental the audio band no longer holds the third harmonic with room to spare. */
const WIDE_ABOVE_HZ = 6000;
/** Where a converter's own low-pass begins, as a share of the rate: 20 kHz at 44.1 kHz (common practice, no source). */
const USABLE_SHARE = 20 / 44.1;
/** Room for the last digits of a fit, so that the twentieth harmonic of 1 kHz counts in a band of 20 kHz. */
const EDGE = 1 + 2e-6;

/** Highest frequency that a converter running at this rate is trusted with. */
export function usableTop_Hz(rate_Hz: number): number {
  return rate_Hz * USABLE_SHARE;
}

/**
 * The measuring band for a fundamental: 20 Hz to 20 kHz up to 6 kHz, above that to 80 kHz so that
 * the third harmonic of 20 kHz lies inside; never past what the converter can use.
 */
export function defaultBand(fundamental_Hz: number, rate_Hz: number): Band {
  const top = fundamental_Hz > WIDE_ABOVE_HZ ? WIDE_TOP_HZ : AUDIO_TOP_HZ;
  return [LOW_HZ, Math.min(top, usableTop_Hz(rate_Hz))];
}

/**
 * The band to use: the asked one, cut off at half the rate, or the default for the fundamental.
 *
 * @throws ImpossibleRequest when nothing is left between the asked limits
 */
export function bandFor(asked: Band | null, fundamental_Hz: number, rate_Hz: number): Band {
  if (!asked) return defaultBand(fundamental_Hz, rate_Hz);
  const [low, high] = asked;
  if (!(low >= 0 && low < high && low < rate_Hz / 2)) {
    throw new ImpossibleRequest({
      what: `the measuring band ${low} Hz to ${high} Hz is impossible`,
      mend: `The lower limit must be 0 or more, below the upper one and below half the rate, ${rate_Hz / 2} Hz`,
    });
  }
  return [low, Math.min(high, rate_Hz / 2)];
}

/** True when the band reaches up to `frequency_Hz`. The lower limit never takes a harmonic away. */
export function reaches(band: Band, frequency_Hz: number): boolean {
  return frequency_Hz <= band[1] * EDGE;
}

/** What the band's upper limit hides of a fundamental's harmonics. */
export function bandFlags(band: Band, fundamental_Hz: number): FlagCode[] {
  const flags: FlagCode[] = [];
  if (!reaches(band, 3 * fundamental_Hz)) flags.push('harmonics-out-of-band');
  if (!reaches(band, 2 * fundamental_Hz)) flags.push('no-harmonic-in-band');
  return flags;
}
