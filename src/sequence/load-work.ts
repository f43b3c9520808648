import type { ChannelChain, Load } from '../calibration/chain.js';
import { meanAfter_W } from './load-warmth.js';
import { isEnergised, type LoadWork, type PlanStep, planOf } from './plan.js';

/** The power that a step puts into one load of one channel, at most. */
function powerInto(step: PlanStep, channel: number, load: Load): number {
  if (!isEnergised(step) || step.load_ohm !== load.nominal_ohm || !step.driven.includes(channel)) return 0;
  return planOf(step).duty(step, load.measured_ohm).mean_W;
}

function workOf(
  steps: readonly PlanStep[],
  channel: number,
  load: Load,
  secondsOf: (step: PlanStep) => number,
): LoadWork {
  let [now_W, mean_W, most_W, heat_J] = [0, 0, 0, 0];
  for (const step of steps) {
    const [power_W, seconds] = [powerInto(step, channel, load), secondsOf(step)];
    now_W = meanAfter_W(load, now_W, power_W, seconds);
    mean_W = Math.max(mean_W, now_W);
    most_W = Math.max(most_W, power_W);
    heat_J += power_W * seconds;
  }
  // A run rests rather than let the mean pass the rating.
  const held_W = Math.min(mean_W, load.rating_W);
  const rise_K = load.heating_K_per_W > 0 ? load.heating_K_per_W * held_W : null;
  return { channel, load_ohm: load.nominal_ohm, most_W, heat_J, mean_W: held_W, rise_K };
}

/** What each load goes through when every step asks for its most all the time: more than any run comes to. */
export function loadWork(
  steps: readonly PlanStep[],
  chains: readonly ChannelChain[],
  secondsOf: (step: PlanStep) => number,
): LoadWork[] {
  return chains
    .flatMap(({ channel, loads }) => loads.map((load) => workOf(steps, channel, load, secondsOf)))
    .filter(({ most_W }) => most_W > 0);
}
