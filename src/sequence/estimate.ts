import type { ChannelChain, Load } from '../calibration/chain.js';
import type { BenchFacts } from './bench-facts.js';
import { meanAfter_W } from './load-warmth.js';
import { operatorChange } from './operator-change.js';
import {
  type EnergisedStep,
  type Estimate,
  isEnergised,
  isWired,
  type LoadWork,
  type PlanStep,
  planOf,
  type WorstCase,
} from './plan.js';
import { ASK_s } from './step-plan.js';

/** About how long a step takes, in seconds of bench time, once everything is set up. */
export function stepSeconds(step: PlanStep): number {
  return planOf(step)
    .parts(step)
    .reduce((sum, { seconds }) => sum + seconds, 0);
}

/** The most that steps can ask for; the voltage as that of a sine with the same peak. */
function worstCase(steps: readonly EnergisedStep[], bench: BenchFacts): Omit<WorstCase, 'heat_J'> {
  let worst = { voltage_Vpk: 0, current_Apk: 0, power_W: 0, total_W: 0 };
  for (const step of steps) {
    for (const { loads } of bench.channels.filter((chain) => step.driven.includes(chain.channel))) {
      const load = loads.find(({ nominal_ohm }) => nominal_ohm === step.load_ohm);
      const duty = planOf(step).duty(step, load?.measured_ohm ?? step.load_ohm);
      worst = {
        voltage_Vpk: Math.max(worst.voltage_Vpk, duty.peak_V),
        current_Apk: Math.max(worst.current_Apk, duty.peak_A),
        power_W: Math.max(worst.power_W, duty.mean_W),
        total_W: Math.max(worst.total_W, duty.mean_W * step.driven.length),
      };
    }
  }
  return { ...worst, voltage_Vrms: worst.voltage_Vpk / Math.SQRT2 };
}

/** Points, time, worst case, heat and visits of a whole plan. */
export function estimate(steps: readonly PlanStep[], bench: BenchFacts): Estimate {
  const wired = steps.filter(isWired);
  const changes = wired.filter((step, i) => operatorChange(step, wired[i - 1] ?? null) !== null).length;
  const loads = loadWork(steps, bench.channels, stepSeconds);
  const heats_J = loads.map(({ heat_J }) => heat_J);
  return {
    points: steps.reduce((sum, step) => sum + planOf(step).points(step), 0),
    seconds: steps.reduce((sum, step) => sum + stepSeconds(step), changes * ASK_s),
    worst: { ...worstCase(steps.filter(isEnergised), bench), heat_J: Math.max(0, ...heats_J) },
    loads,
    energy_J: heats_J.reduce((sum, heat_J) => sum + heat_J, 0),
    visits: changes + steps.filter((step) => planOf(step).question(step) !== null).length,
  };
}

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
