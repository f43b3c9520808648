import type { ChannelChain } from '../../calibration/chain.js';
import { loadIdentity } from '../../calibration/load-identity.js';
import type { EnergisedStep } from '../../sequence/plan.js';

/** What a load can take, as far as its warmth is concerned. */
export interface LoadRating {
  /** Loads of one label are one, which is moved from channel to channel. */
  readonly label?: string;
  /** Which of a channel's loads it is. */
  readonly nominal_ohm: number;
  /** Watts it can take for ever. */
  readonly rating_W: number;
  /** Time constant with which its temperature follows its power. */
  readonly thermal_s: number;
}

/** What some loads are given at a time, by channel. */
interface LoadPowers {
  readonly load_ohm: number;
  readonly power_W: ReadonlyMap<number, number>;
}

/**
 * The powers of all driven channels, of which some were read: one that nobody reads is taken to give what the strongest of
 * those that are read gives.
 */
export function powersOf(
  driven: readonly number[],
  read: readonly { readonly channel: number; readonly power_W: number }[],
): Map<number, number> {
  const most_W = Math.max(0, ...read.map(({ power_W }) => power_W));
  const own = new Map(read.map(({ channel, power_W }) => [channel, power_W]));
  return new Map(driven.map((channel) => [channel, own.get(channel) ?? most_W]));
}

/**
 * Keeps account of how warm each load of each channel is, as the first-order mean of its power: a load at its continuous
 * rating for ever has a mean equal to its rating; and of the energy that it has taken. Pure bookkeeping: the caller says what
 * was done.
 */
export class LoadHeat {
  private readonly mean_W = new Map<string, number>();
  private readonly taken_J = new Map<string, number>();

  /** Accounts for `seconds` at `power_W` in a load of one channel. */
  add(channel: number, rating: LoadRating, power_W: number, seconds: number): void {
    const kept = Math.exp(-seconds / rating.thermal_s);
    this.mean_W.set(loadIdentity(channel, rating), power_W + (this.of(channel, rating) - power_W) * kept);
  }

  /** Accounts for a time in every load of a bench; null: silence. */
  addAll(
    channels: readonly { readonly channel: number; readonly loads: readonly LoadRating[] }[],
    sounding: LoadPowers | null,
    seconds: number,
  ): void {
    if (seconds <= 0) return;
    const all = channels.flatMap(({ channel, loads }) => loads.map((load) => ({ channel, load })));
    const given = all.map(({ channel, load }) => {
      const sounds = sounding?.load_ohm === load.nominal_ohm;
      return { channel, load, power_W: (sounds && sounding.power_W.get(channel)) || 0 };
    });
    for (const { channel, load, power_W } of given)
      this.taken_J.set(loadIdentity(channel, load), this.energyOf(channel, load) + power_W * seconds);
    // Each load once; what two channels play into at the same time are two loads, of which the warmer counts.
    const strongest = given.toSorted((a, b) => a.power_W - b.power_W);
    for (const one of new Map(
      strongest.map((each) => [loadIdentity(each.channel, each.load), each]),
    ).values())
      this.add(one.channel, one.load, one.power_W, seconds);
  }

  /** Makes a load as warm as others know it to be, and counts what they know it to have taken, where that is more. */
  atLeast(channel: number, rating: LoadRating, mean_W: number, energy_J: number): void {
    this.mean_W.set(loadIdentity(channel, rating), Math.max(this.of(channel, rating), mean_W));
    this.taken_J.set(loadIdentity(channel, rating), Math.max(this.energyOf(channel, rating), energy_J));
  }

  /** First-order mean power of a load of one channel. */
  of(channel: number, rating: LoadRating): number {
    return this.mean_W.get(loadIdentity(channel, rating)) ?? 0;
  }

  /** Joules that a load has taken, from whichever channels it was used on. */
  energyOf(channel: number, rating: LoadRating): number {
    return this.taken_J.get(loadIdentity(channel, rating)) ?? 0;
  }

  /** Joules that all loads have taken together. */
  get energy_J(): number {
    return [...this.taken_J.values()].reduce((sum, energy_J) => sum + energy_J, 0);
  }

  /**
   * What that mean will be on average over the last `record_s` of `seconds` at `power_W`: how warm the load is while it
   * is being read. Mean of the exponential over that stretch. Accounts for nothing.
   */
  during(channel: number, rating: LoadRating, power_W: number, seconds: number, record_s: number): number {
    const { thermal_s } = rating;
    const length_s = Math.min(record_s, seconds);
    const left = Math.exp(-(seconds - length_s) / thermal_s);
    const average = length_s > 0 ? (-thermal_s / length_s) * Math.expm1(-length_s / thermal_s) : 1;
    return power_W + (this.of(channel, rating) - power_W) * left * average;
  }

  /**
   * Seconds of silence needed before `power_W` may stand for `seconds` without the mean passing the
   * rating; 0 when none is. Infinite when no rest can make it safe.
   */
  restBefore(channel: number, rating: LoadRating, power_W: number, seconds: number): number {
    const kept = Math.exp(-seconds / rating.thermal_s);
    const start_W = (rating.rating_W - power_W * (1 - kept)) / kept;
    const now_W = this.of(channel, rating);
    if (now_W <= start_W) return 0;
    if (start_W <= 0) return Number.POSITIVE_INFINITY;
    return rating.thermal_s * Math.log(now_W / start_W);
  }
}

/** The warmth of every load of the bench, kept up to the clock of the run. */
export class HeatAccount extends LoadHeat {
  /** What has sounded since the time up to which the warmth is accounted for. */
  #sounding: (LoadPowers & { readonly step: string }) | null = null;

  /** @param until_s seconds of the run up to which nothing is left to account for */
  constructor(
    private readonly channels: readonly ChannelChain[],
    private readonly clock: () => number,
    private until_s: number,
  ) {
    super();
  }

  /** Accounts in every load for the time until now as one of silence. */
  cool(): void {
    this.#sounding = null;
    this.#account(this.clock());
  }

  /**
   * Accounts in every load for the time up to `from_s`, at which something new begins to sound: what sounded last goes on
   * sounding within a step, and between steps there is silence.
   */
  upTo(step: EnergisedStep, from_s: number): void {
    if (this.#sounding?.step !== step.id) this.#sounding = null;
    this.#account(from_s);
  }

  /** Accounts for the time until now at these powers into the step's loads; every other load cools. */
  warm(step: EnergisedStep, power_W: ReadonlyMap<number, number>): void {
    this.#sounding = { step: step.id, load_ohm: step.load_ohm, power_W };
    this.#account(this.clock());
  }

  #account(until_s: number): void {
    const seconds = Math.max(0, until_s - this.until_s);
    this.until_s = Math.max(this.until_s, until_s);
    this.addAll(this.channels, this.#sounding, seconds);
  }
}
