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

/** One effect of the amplifier at the higher rate, applied in place to samples `from` to `to - 1`. */
export interface OverStage {
  process(wave: Float64Array, from: number, to: number): void;
}
