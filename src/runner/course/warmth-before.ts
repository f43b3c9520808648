import type { BenchSetup } from '../../bench/bench-setup.js';
import type { LoadMemory } from '../../safety/load-memory.js';
import { isEnergised, type Plan, planOf, planOfKind } from '../../sequence/plan.js';
import { isStepKind } from '../../sequence/step-base.js';
import type { EarlierSessions } from './earlier-sessions.js';
import { type LoadHeat, powersOf } from './load-heat.js';

/** Records that a capture can sound for at most: several tries, each waiting for the output to settle. */
const MOST_RECORDS = 20;
/** After so many time constants less than 1 % of a warmth is left. */
const COOLING_TIMES = 5;
/** With the ramps and pauses around them. */
const AROUND_s = 1;

/**
 * Tells the loads what earlier sessions put into them. Nobody knows how long ago that was in truth, so they are taken to
 * be as warm as they were when the run broke off; and a level is taken to have sounded for as long as it can have.
 */
export function warmAsBefore(heat: LoadHeat, setup: BenchSetup, plan: Plan, earlier: EarlierSessions): void {
  const { heating, at_s } = earlier;
  const longest_s = longestCaptures(plan);
  for (const [i, entry] of heating.entries()) {
    const next = heating[i + 1];
    const until_s = Math.max(next?.point.at_s ?? at_s, entry.point.at_s);
    const gap_s = until_s - entry.point.at_s;
    const { stepKind } = entry.point;
    const kind = isStepKind(stepKind) ? planOfKind(stepKind) : null;
    const stays = kind?.needs === 'signal' && kind.levelStands;
    const most_s =
      stays && next?.point.step === entry.point.step
        ? gap_s
        : (longest_s.get(entry.point.nominal_Hz) ?? gap_s);
    const sounds_s = Math.min(gap_s, most_s);
    const { load_ohm, driven } = entry.point;
    const sounding = { load_ohm, power_W: powersOf(driven, entry.powers) };
    heat.addAll(setup.channels, sounding, sounds_s);
    heat.addAll(setup.channels, null, gap_s - sounds_s);
  }
}

/** Tells the loads what all runs have left in them, and what they have taken since they were last cold. */
export function warmByOthers(heat: LoadHeat, { channels }: BenchSetup, memory: LoadMemory | null): void {
  for (const { channel, load_ohm, mean_W, energy_J } of memory?.before ?? []) {
    const load = channels
      .find((chain) => chain.channel === channel)
      ?.loads.find(({ nominal_ohm }) => nominal_ohm === load_ohm);
    // A run that is resumed has left its own share in the memory: the larger counts, not the sum.
    if (load) heat.atLeast(channel, load, mean_W, energy_J);
  }
}

/** Seconds that the warmest load can have to be waited for: a run may rest so much longer than was planned for cold ones. */
export function coolingTime_s(heat: LoadHeat, { channels }: BenchSetup): number {
  const times = channels.flatMap(({ channel, loads }) =>
    loads.map((load) => (heat.of(channel, load) > 0 ? COOLING_TIMES * load.thermal_s : 0)),
  );
  return Math.max(0, ...times);
}

/** By nominal frequency, the longest that a look at it can sound. */
function longestCaptures({ steps }: Plan): Map<number, number> {
  const tones = steps.filter(isEnergised).flatMap((step) => planOf(step).tones(step));
  const longest_s = new Map<number, number>();
  for (const { nominal_Hz, frames, rate_Hz } of tones) {
    const seconds = AROUND_s + (MOST_RECORDS * frames) / rate_Hz;
    longest_s.set(nominal_Hz, Math.max(seconds, longest_s.get(nominal_Hz) ?? 0));
  }
  return longest_s;
}
