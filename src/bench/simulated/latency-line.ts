/** Hands samples out so many frames later than they came in. */
export class LatencyLine {
  private kept: Float64Array;

  constructor(frames: number) {
    this.kept = new Float64Array(frames);
  }

  /** As many samples as came in. */
  shift(samples: Float64Array): Float64Array {
    if (this.kept.length === 0) return samples;
    const joined = new Float64Array(this.kept.length + samples.length);
    joined.set(this.kept);
    joined.set(samples, this.kept.length);
    this.kept = joined.slice(samples.length);
    return joined.subarray(0, samples.length);
  }
}
