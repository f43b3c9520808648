import { NonFiniteSamples } from './non-finite-samples.js';

/** What the samples say before any spectrum is taken. Same unit as the samples. */
export interface Level {
  /** Mean. */
  readonly dc: number;
  /** Largest absolute sample. */
  readonly peak: number;
  /** Root mean square of all of it, DC included. */
  readonly rms: number;
  /** `peak / rms`; 0 for silence. */
  readonly crest_factor: number;
}

/**
 * Level of one channel over its whole record; all zero for an empty record.
 *
 * @param channel bench or file channel from 1, for the message only
 * @throws NonFiniteSamples when a sample is NaN or infinite
 */
export function levelOf(samples: Float64Array, channel = 1): Level {
  let sum = 0;
  let squares = 0;
  let peak = 0;
  for (let n = 0; n < samples.length; n++) {
    const x = samples[n]!;
    sum += x;
    squares += x * x;
    const size = x < 0 ? -x : x;
    if (size > peak) peak = size;
  }
  // One NaN or infinity spoils the sum, so samples are looked at one by one only then.
  if (!Number.isFinite(sum) && !samples.every(Number.isFinite)) throw new NonFiniteSamples(samples, channel);
  if (samples.length === 0) return { dc: 0, peak: 0, rms: 0, crest_factor: 0 };
  const rms = Math.sqrt(squares / samples.length);
  return { dc: sum / samples.length, peak, rms, crest_factor: rms > 0 ? peak / rms : 0 };
}
