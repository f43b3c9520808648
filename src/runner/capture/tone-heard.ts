import type { CoherentTone } from '../../signal/coherent-tone.js';

/** A tone found in a short stretch of samples, in their unit (peak). */
export interface HeardTone {
  readonly re: number;
  readonly im: number;
  /** What noise and hum would show at a frequency beside it: root mean square over a few. */
  readonly doubt: number;
}

/** Places beside the tone, in units of one over the length, that tell what is there without it. */
const BESIDE = [-6.5, -5, -3.5, 3.5, 5, 6.5];

/**
 * Finds a tone by one bin of a transform under a Hann window, whose side lobes fall so fast that hum far away does
 * not matter. The phase counts from frame 0 of the source, so that stretches taken at different times compare.
 *
 * @param from source frame of the first sample
 */
export function toneHeard(samples: Float64Array, from: number, { cycles, frames }: CoherentTone): HeardTone {
  const cyclesPerSample = cycles / frames;
  const { re, im } = binAt(samples, from, cyclesPerSample);
  const besides = BESIDE.map((offset) => cyclesPerSample + offset / samples.length)
    .filter((frequency) => frequency > 3 / samples.length && frequency < 0.5)
    .map((frequency) => {
      const bin = binAt(samples, from, frequency);
      return bin.re ** 2 + bin.im ** 2;
    });
  const doubt = Math.sqrt(besides.reduce((sum, power) => sum + power, 0) / Math.max(1, besides.length));
  return { re, im, doubt };
}

/** Twice the mean of samples times window times exp(-i 2 pi f n), n counted from frame 0 of the source. */
function binAt(samples: Float64Array, from: number, cyclesPerSample: number): { re: number; im: number } {
  let [re, im, weight] = [0, 0, 0];
  let phase = (cyclesPerSample * from) % 1;
  for (let n = 0; n < samples.length; n += 1) {
    const window = 0.5 - 0.5 * Math.cos((2 * Math.PI * (n + 0.5)) / samples.length);
    const value = samples[n]! * window;
    re += value * Math.cos(2 * Math.PI * phase);
    im -= value * Math.sin(2 * Math.PI * phase);
    weight += window;
    phase = (phase + cyclesPerSample) % 1;
  }
  return { re: (2 * re) / weight, im: (2 * im) / weight };
}
