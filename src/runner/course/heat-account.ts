import type { ChannelChain } from '../../calibration/chain.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import { LoadHeat, type LoadPowers } from './load-heat.js';

/** The warmth of every load of the bench, kept up to the clock of the run. */
export class HeatAccount extends LoadHeat {
  readonly #channels: readonly ChannelChain[];
  readonly #clock: () => number;
  /** Until when the warmth is accounted for, and what has sounded since. */
  #until_s: number;
  #sounding: (LoadPowers & { readonly step: string }) | null = null;

  /** @param until_s seconds of the run up to which nothing is left to account for */
  constructor(channels: readonly ChannelChain[], clock: () => number, until_s: number) {
    super();
    this.#channels = channels;
    this.#clock = clock;
    this.#until_s = until_s;
  }

  /** Accounts in every load for the time until now as one of silence. */
  cool(): void {
    this.#sounding = null;
    this.#account(this.#clock());
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
    this.#account(this.#clock());
  }

  #account(until_s: number): void {
    const seconds = Math.max(0, until_s - this.#until_s);
    this.#until_s = Math.max(this.#until_s, until_s);
    this.addAll(this.#channels, this.#sounding, seconds);
  }
}
