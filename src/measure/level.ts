import { NonFiniteSamples } from './measure-errors.js';

/** Sum of all samples. */
export function sumOf(samples: Float64Array): number {
  // Four sums, so that no addition waits for the last one.
  const whole = samples.length - (samples.length % 4);
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  for (let n = 0; n < whole; n += 4) {
    s0 += samples[n]!;
    s1 += samples[n + 1]!;
    s2 += samples[n + 2]!;
    s3 += samples[n + 3]!;
  }
  for (let n = whole; n < samples.length; n++) s0 += samples[n]!;
  return s0 + s1 + (s2 + s3);
}

/** Largest absolute sample, NaN passed over; 0 for no samples. */
export function peakOf(samples: Float64Array): number {
  let peak = 0;
  for (let n = 0; n < samples.length; n++) {
    const size = Math.abs(samples[n]!);
    if (size > peak) peak = size;
  }
  return peak;
}

/** What the samples say before any spectrum is taken. Same unit as the samples. */
export interface SampleLevel {
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
export function levelOf(samples: Float64Array, channel = 1): SampleLevel {
  const { sum, squares, peak } = goThrough(samples);
  // One NaN or infinity spoils the sum, so samples are looked at one by one only then.
  if (!Number.isFinite(sum) && !samples.every(Number.isFinite)) throw new NonFiniteSamples(samples, channel);
  if (samples.length === 0) return { dc: 0, peak: 0, rms: 0, crest_factor: 0 };
  const rms = Math.sqrt(squares / samples.length);
  return { dc: sum / samples.length, peak, rms, crest_factor: rms > 0 ? peak / rms : 0 };
}

/** All in one go, since a long record has to be fetched from memory; two of each, so that none waits for its last self. */
function goThrough(samples: Float64Array): { sum: number; squares: number; peak: number } {
  let sum0 = 0;
  let sum1 = 0;
  let squares0 = 0;
  let squares1 = 0;
  let peak0 = 0;
  let peak1 = 0;
  const even = samples.length - (samples.length % 2);
  for (let n = 0; n < even; n += 2) {
    const x0 = samples[n]!;
    const x1 = samples[n + 1]!;
    sum0 += x0;
    sum1 += x1;
    squares0 += x0 * x0;
    squares1 += x1 * x1;
    const size0 = Math.abs(x0);
    const size1 = Math.abs(x1);
    if (size0 > peak0) peak0 = size0;
    if (size1 > peak1) peak1 = size1;
  }
  const last = even < samples.length ? samples[even]! : 0;
  return {
    sum: sum0 + sum1 + last,
    squares: squares0 + squares1 + last * last,
    peak: Math.max(peak0, peak1, Math.abs(last)),
  };
}
