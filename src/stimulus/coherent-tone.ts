/**
 * A test frequency with a whole number of cycles in its record and no factor in common with the
 * record length: frequency_Hz = cycles * rate / frames.
 */
export interface CoherentTone {
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
  readonly cycles: number;
  /** Record length, a power of two. */
  readonly frames: number;
  readonly rate_Hz: number;
}
