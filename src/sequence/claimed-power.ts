/** A claim as far as levels are taken from it. */
export interface ClaimedPower {
  /** Continuous watts per channel; null when the claim does not tell them. */
  readonly power_W: number | null;
  /** Null when the claim states no load. */
  readonly load_ohm: number | null;
  /** Why there is no power, or what was assumed to get at it; empty when it is as claimed. */
  readonly note: string;
}
