/** The most that a step asks of one channel and its load. */
export interface Duty {
  readonly peak_V: number;
  readonly peak_A: number;
  /** The highest power at any instant, and the mean while the signal stands: what warms a load. */
  readonly peak_W: number;
  readonly mean_W: number;
}

export const NO_DUTY: Duty = { peak_V: 0, peak_A: 0, peak_W: 0, mean_W: 0 };

/** Of a steady sine of `mean_W` into a load. */
export function sineDuty(mean_W: number, load_ohm: number): Duty {
  const peak_V = Math.sqrt(2 * mean_W * load_ohm);
  return { peak_V, peak_A: Math.sqrt((2 * mean_W) / load_ohm), peak_W: 2 * mean_W, mean_W };
}

/** With so little of the most that a step may ask for, a wiring may be checked. */
export const safeShareOf = (most_W: number): number => most_W / 1000;
