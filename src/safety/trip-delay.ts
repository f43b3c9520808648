import type { BenchSetup } from '../bench/bench-setup.js';
import { isEnergised, type Plan, planOf } from '../sequence/plan.js';

/** A take holds two records of the tone, and fades, settling and silence around them. */
const RECORDS = 2;
const AROUND_s = 0.3;

/** What of a bench decides on how soon a trip takes effect. */
export type ReactingBench = Pick<BenchSetup, 'interface' | 'energises' | 'rate_Hz'>;

/**
 * How long full level may stand at the loads of a plan before a trip can end it, where the bench hands over whole takes: as
 * long as the longest take, seconds, rounded up to tenths. Null where blocks are watched while they play, or nothing is energised.
 */
export function tripDelay_s(plan: Plan, bench: ReactingBench): number | null {
  const { interface: device, energises, rate_Hz } = bench;
  if (!energises || device.kind !== 'command' || device.block_s !== null) return null;
  const frames = plan.steps.filter(isEnergised).flatMap((step) =>
    planOf(step)
      .tones(step)
      .map((tone) => tone.frames),
  );
  if (frames.length === 0) return null;
  return Math.ceil(10 * ((RECORDS * Math.max(...frames)) / rate_Hz + AROUND_s)) / 10;
}

/** When the trips of a plan take effect: a heading over their list. */
export const tripHeading = (plan: Plan, bench: ReactingBench): string =>
  tripDelay_s(plan, bench) === null ? 'Ends the run at once' : 'Ends the run after the take';

/** What must be said of trips that come late. Empty where they do not. */
export function tripDelayWords(plan: Plan, bench: ReactingBench): string[] {
  const delay_s = tripDelay_s(plan, bench);
  if (delay_s === null) return [];
  return [
    `No trip takes effect before the end of a take, up to ${delay_s} s: the program of this bench does not stream. ` +
      'Until then a fault keeps its voltage on the loads. A program that streams (`blocks` in the bench file) is watched while it plays.',
  ];
}
