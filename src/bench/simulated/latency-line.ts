/** Hands samples out so many frames later than they came in. */
export class LatencyLine {
  private readonly kept: Float64Array;

  constructor(frames: number) {
    this.kept = new Float64Array(frames);
  }

  /** Puts as many earlier samples in the place of those that came in, and gives that array back. */
  shift(samples: Float64Array): Float64Array {
    const { kept } = this;
    if (kept.length === 0) return samples;
    const early = Math.min(kept.length, samples.length);
    const last = samples.slice(samples.length - early);
    samples.copyWithin(early, 0);
    samples.set(kept.subarray(0, early));
    // What stays is the end of the kept and the new samples, one behind the other.
    kept.copyWithin(0, early);
    kept.set(last, kept.length - early);
    return samples;
  }
}
