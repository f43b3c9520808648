/** Where the values of a sensor come from. */
export type SensorSource =
  /** A program that prints one number and ends. Run without a shell in the folder of the bench file. */
  | { readonly kind: 'program'; readonly argv: readonly string[] }
  /** The twin's own truth, on a simulated bench. */
  | { readonly kind: 'heatsink' }
  | { readonly kind: 'mains' }
  | { readonly kind: 'load'; readonly channel: number };

/** Something that a bench file has sampled beside the signal: a temperature, the mains, whatever prints a number. */
export interface SensorSetup {
  readonly name: string;
  /** Any word: it is printed behind the values and not calculated with. */
  readonly unit: string;
  readonly every_s: number;
  /** Never longer than `every_s`. */
  readonly timeout_s: number;
  /** A value beyond these trips the run; null: no limit. In the sensor's own unit. */
  readonly high: number | null;
  readonly low: number | null;
  /** Whether a run ends when the sensor falls silent. */
  readonly needed: boolean;
  readonly source: SensorSource;
}

/** A sensor that can be read. */
export interface Sensor {
  readonly setup: SensorSetup;
  /**
   * Its value now. A sensor that knows at once answers at once; one that must wait gives a promise that is settled
   * within the timeout, or as soon as `signal` aborts.
   *
   * @throws Error (also by rejection) saying in words why there is none
   */
  read(signal: AbortSignal): number | Promise<number>;
}
