/** Hands samples out so many frames later than they came in. */
export class LatencyLine {
  private readonly kept: Float64Array;

  constructor(frames: number) {
    this.kept = new Float64Array(frames);
  }

  /** As many samples as came in. */
  shift(samples: Float64Array): Float64Array {
    const { kept } = this;
    if (kept.length === 0) return samples;
    const shifted = new Float64Array(samples.length);
    const early = Math.min(kept.length, samples.length);
    shifted.set(kept.subarray(0, early));
    shifted.set(samples.subarray(0, samples.length - early), early);
    // What stays is the end of the kept and the new samples, one behind the other.
    kept.copyWithin(0, early);
    kept.set(samples.subarray(samples.length - early), kept.length - early);
    return shifted;
  }
}
