import type { SoundBlock } from '../bench/bench.js';
import type { BenchSetup } from '../bench/bench-setup.js';
import { type Load, loadVoltsPerUnit } from '../calibration/chain.js';
import { loadIdentity } from '../calibration/load-identity.js';
import { meanAfter_W } from '../sequence/load-warmth.js';
import { type EnergisedStep, isEnergised, type PlanStep } from '../sequence/plan.js';
import { formatQuantity } from '../units/format.js';
import type { CourseLimits } from './course-limits.js';
import { type Trip, tripOf } from './trip.js';

/**
 * A run rests so that the mean power of a load comes up to its rating and no further; what the reading and the
 * settling add to that must not end it.
 */
export const HOT_SHARE = 1.05;
const WARM_SHARE = 0.9;

/** What one load of one channel has gone through. */
interface LoadState {
  readonly channel: number;
  readonly load: Load;
  /** See `loadIdentity`. */
  readonly identity: string;
  readonly most_J: number;
  mean_W: number;
  /** The part of it that this session has put in, and the energy of this session. */
  own_W: number;
  energy_J: number;
  warned: boolean;
}

/**
 * Watches what only the course of a whole run shows: how warm the loads are by first order, how much energy they
 * have taken, how long it has been going on. It keeps its own account, from the blocks themselves, so that it holds
 * whatever a step believes that it plays.
 *
 * A driven channel that is not read is taken to give what the strongest of those that are read gives.
 */
export class CourseWatch {
  readonly #loads: readonly LoadState[];
  readonly #warnings: string[] = [];
  #step: EnergisedStep | null = null;
  #energy_J = 0;
  /** Until when warmth is accounted for, and the time that does not count; seconds of the run. */
  #until_s = 0;
  #excused_s = 0;

  constructor(
    private readonly limits: CourseLimits,
    private readonly setup: Pick<BenchSetup, 'channels' | 'rate_Hz'>,
  ) {
    this.#loads = setup.channels.flatMap(({ channel, loads }) =>
      loads.map((load): LoadState => {
        const own = limits.loads.find((at) => at.channel === channel && at.load_ohm === load.nominal_ohm);
        const most_J = own?.energy_J ?? Number.POSITIVE_INFINITY;
        return {
          channel,
          load,
          identity: loadIdentity(channel, load),
          most_J,
          mean_W: 0,
          own_W: 0,
          energy_J: 0,
          warned: false,
        };
      }),
    );
  }

  /**
   * Tells what earlier sessions of the run have put into the loads. A load counts as no warmer than its rating: how long it was
   * driven is not known to the second, and a trip before the first tone would say nothing.
   *
   * @param meanOf first-order mean watts of each load
   * @param energy_J into all loads together, where the limit is one for the whole run
   */
  wasGiven(meanOf: (channel: number, load: Load) => number, energy_J: number): void {
    for (const state of this.#loads)
      state.mean_W = Math.min(state.load.rating_W, meanOf(state.channel, state.load));
    this.#energy_J = energy_J;
  }

  /** What this session has put into each load, by this account: nothing of what was in it before. */
  given(): {
    readonly channel: number;
    readonly load: Load;
    readonly own_W: number;
    readonly energy_J: number;
  }[] {
    return this.#loads.map(({ channel, load, own_W, energy_J }) => ({ channel, load, own_W, energy_J }));
  }

  /** Says which step goes on from now. Only what plays in energised steps is counted: nothing else drives a load. */
  begin(step: PlanStep): void {
    this.#step = isEnergised(step) ? step : null;
  }

  /** Takes time out of the account that the operator needed. */
  excuse(seconds: number): void {
    this.#excused_s += seconds;
  }

  /** Looks at the next block, which came in when the run had lasted `at_s`. After a trip the watch is done. */
  look(block: SoundBlock, at_s: number): Trip | null {
    const seconds = block.channels[0]!.length / this.setup.rate_Hz;
    // Blocks come unevenly, their time does not.
    this.#pass(new Map(), Math.max(0, at_s - seconds - this.#until_s));
    this.#pass(this.#powers(block), seconds);
    return this.#judge(at_s);
  }

  /** Looks at the clock, after a time in silence. */
  rest(at_s: number): Trip | null {
    this.#pass(new Map(), Math.max(0, at_s - this.#until_s));
    return this.#judge(at_s);
  }

  /** Warnings that have come up since they were last taken. */
  takeWarnings(): string[] {
    return this.#warnings.splice(0);
  }

  /** Mean watts over the block into the load of each driven channel. */
  #powers(block: SoundBlock): ReadonlyMap<number, number> {
    const step = this.#step;
    if (!step) return new Map();
    const read = step.measured.map((channel) => {
      const index = this.setup.channels.findIndex((chain) => chain.channel === channel);
      const chain = this.setup.channels[index]!;
      const { measured_ohm } = chain.loads.find(({ nominal_ohm }) => nominal_ohm === step.load_ohm)!;
      const volts = loadVoltsPerUnit(chain);
      return [channel, (meanSquare(block.channels[index]!) * volts * volts) / measured_ohm] as const;
    });
    const most_W = Math.max(0, ...read.map(([, power_W]) => power_W));
    const powers = new Map(step.driven.map((channel) => [channel, most_W]));
    // A channel that is read and not driven may have failed all the more.
    for (const [channel, power_W] of read) powers.set(channel, power_W);
    return powers;
  }

  #pass(powers: ReadonlyMap<number, number>, seconds: number): void {
    if (seconds === 0) return;
    this.#until_s += seconds;
    const given_W = this.#loads.map(({ channel, load }) =>
      load.nominal_ohm === this.#step?.load_ohm ? (powers.get(channel) ?? 0) : 0,
    );
    for (const [i, state] of this.#loads.entries()) {
      const power_W = given_W[i]!;
      // A load that is moved from channel to channel is as warm on one as it became on another.
      const into_W = given_W.filter((_, k) => this.#loads[k]!.identity === state.identity);
      state.mean_W = meanAfter_W(state.load, state.mean_W, Math.max(...into_W), seconds);
      state.own_W = meanAfter_W(state.load, state.own_W, power_W, seconds);
      state.energy_J += power_W * seconds;
      this.#energy_J += power_W * seconds;
    }
  }

  #judge(at_s: number): Trip | null {
    for (const state of this.#loads) {
      const trip = this.#judgeLoad(state);
      if (trip) return trip;
    }
    const { energy_J, time_s } = this.limits;
    if (this.#energy_J > energy_J) return tripOf('energy', null, this.#energy_J, energy_J);
    const taken_s = at_s - this.#excused_s;
    return taken_s > time_s ? tripOf('time', null, taken_s, time_s) : null;
  }

  #judgeLoad(state: LoadState): Trip | null {
    const { channel, load, mean_W, energy_J, most_J } = state;
    if (mean_W > HOT_SHARE * load.rating_W)
      return tripOf('load-hot', channel, mean_W, HOT_SHARE * load.rating_W);
    if (energy_J > most_J) return tripOf('load-energy', channel, energy_J, most_J);
    if (state.warned || mean_W < WARM_SHARE * load.rating_W) return null;
    state.warned = true;
    this.#warnings.push(warmLoadWords(channel, load, mean_W));
    return null;
  }
}

/** The warning that a load comes near the limit at which a run ends. @param mean_W continuous watts that would make it as warm */
export const warmLoadWords = (
  channel: number,
  { nominal_ohm, rating_W }: { readonly nominal_ohm: number; readonly rating_W: number },
  mean_W: number,
): string =>
  `channel ${channel}: the load of ${formatQuantity(nominal_ohm, 'ohm')} is estimated to be as hot as ${formatQuantity(mean_W, 'W')} ` +
  `continuous would make it, ${Math.floor((100 * mean_W) / rating_W)} % of its rating of ${formatQuantity(rating_W, 'W')}`;

function meanSquare(samples: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < samples.length; i += 1) sum += samples[i]! * samples[i]!;
  return sum / samples.length;
}
