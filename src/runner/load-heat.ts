/** What a load can take, as far as its warmth is concerned. */
export interface LoadRating {
  /** Watts it can take for ever. */
  readonly rating_W: number;
  /** Time constant with which its temperature follows its power. */
  readonly thermal_s: number;
}

/**
 * Keeps account of how warm each load is, as the first-order mean of its power: a load at its continuous
 * rating for ever has a mean equal to its rating. Pure bookkeeping: the caller says what was done.
 */
export class LoadHeat {
  private readonly mean_W = new Map<number, number>();

  /** Accounts for `seconds` at `power_W` in the load of one channel. */
  add(channel: number, rating: LoadRating, power_W: number, seconds: number): void {
    const before = this.mean_W.get(channel) ?? 0;
    const kept = Math.exp(-seconds / rating.thermal_s);
    this.mean_W.set(channel, power_W + (before - power_W) * kept);
  }

  /** First-order mean power of the load of one channel. */
  of(channel: number): number {
    return this.mean_W.get(channel) ?? 0;
  }

  /**
   * Seconds of silence needed before `power_W` may stand for `seconds` without the mean passing the
   * rating; 0 when none is. Infinite when no rest can make it safe.
   */
  restBefore(channel: number, rating: LoadRating, power_W: number, seconds: number): number {
    const kept = Math.exp(-seconds / rating.thermal_s);
    const start_W = (rating.rating_W - power_W * (1 - kept)) / kept;
    const now_W = this.of(channel);
    if (now_W <= start_W) return 0;
    if (start_W <= 0) return Number.POSITIVE_INFINITY;
    return rating.thermal_s * Math.log(now_W / start_W);
  }
}
