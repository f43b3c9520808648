/** Highest and lowest volts that the output stage can give, running straight through a stretch of samples. */
export interface OutputLimits {
  high: number;
  low: number;
  /** Change per sample at the higher rate. */
  highStep: number;
  lowStep: number;
  /** Length of the stretch in samples. */
  samples: number;
}

/**
 * One effect of the amplifier at the higher rate, applied in place to samples `from` to `to - 1`.
 *
 * Its loop begins at `from | 0`: an index that begins as whatever a caller may hand in is a fractional number to
 * the compiler, which then converts and checks it at each sample.
 */
export interface OverStage {
  process(wave: Float64Array, from: number, to: number): void;
}
