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
