/** Level of a chain at one frequency, relative to 1 kHz. */
export interface ResponsePoint {
  readonly frequency_Hz: number;
  readonly level_dB: number;
  /** Standard uncertainty of the level. */
  readonly uncertainty_dB: number;
}

/** A frequency response: at least two points, rising in frequency. */
export interface Response {
  readonly points: readonly ResponsePoint[];
}
