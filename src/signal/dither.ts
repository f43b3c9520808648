/** A reproducible source of numbers from 0 up to 1 (mulberry32, public domain generator). */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/**
 * Rounds samples (full scale = 1.0 peak) to the grid of an integer converter with triangular dither of
 * two steps peak to peak, which makes the error independent of the signal in mean and variance: total
 * noise LSB^2 / 4, 4.77 dB above undithered rounding. Silence, an exact run of zeros,
 * stays silent. Clips at full scale.
 *
 * @param bits resolution of the converter, sign included
 * @param random uniform numbers from 0 up to 1
 * @returns a new array, values multiples of 2^(1 - bits)
 */
export function quantise(samples: Float64Array, bits: number, random: () => number): Float64Array {
  const scale = 2 ** (bits - 1);
  const most = (scale - 1) / scale;
  const out = new Float64Array(samples.length);
  for (let i = 0; i < samples.length; i += 1) {
    const sample = samples[i]!;
    if (sample === 0) continue;
    const dithered = Math.round(sample * scale + random() - random()) / scale;
    out[i] = Math.min(Math.max(dithered, -1), most);
  }
  return out;
}
