/** The rails that all channels share. */
export interface Supply {
  /** True when nothing the channels draw moves the rails. */
  readonly stiff: boolean;
  /** Volts of each rail from the common, both as positive numbers. */
  readonly positive_V: number;
  readonly negative_V: number;
  /** What of the ripple reaches every output at this moment. */
  readonly hum_V: number;
  /** Lets `dt_s` pass while the channels draw these mean currents from the rails. */
  step(positive_A: number, negative_A: number, dt_s: number): void;
  /** Lets a longer time pass with a steady draw. */
  rest(seconds: number, draw_A: number): void;
}
