import { exceeds, keeps, shareOf, type Trial, type Witness, witness } from './trials.js';

/** Two steps that read the contrary at one setting: one kept the limit where the other exceeded it. */
export interface Conflict {
  readonly kept: Witness;
  readonly exceeded: Witness;
}

/** What a unit repeats to, as a share of its power: 0.1 dB. */
export const SAME_POWER = 0.023;
/** A step that kept the limit this near on both sides of a power has kept it there. */
const NEAR_dB = 0.6;

/**
 * Looks for a contradiction between steps at one setting: cold and hot, before and after. A reading that exceeds the limit
 * contradicts a step that kept it at that power within U, or just below and just above it.
 *
 * @param visits trials of one setting, a list for each step
 */
export function conflictOf(visits: readonly (readonly Trial[])[], limit_percent: number): Conflict | null {
  for (const trials of visits)
    for (const trial of trials) {
      if (!exceeds(trial, limit_percent)) continue;
      for (const other of visits) {
        const kept = other === trials ? null : keptAround(other, trial.reading.power_W, limit_percent);
        if (kept) return { kept: witness(kept), exceeded: witness(trial) };
      }
    }
  return null;
}

function keptAround(trials: readonly Trial[], power_W: number, limit_percent: number): Trial | null {
  const kept = trials.filter((trial) => keeps(trial, limit_percent));
  const off_dB = ({ reading }: Trial) => 10 * Math.log10(reading.power_W / power_W);
  // Above it by more than both uncertainties, or it is the same power read on either side of a limit.
  const above = kept.find(({ reading }) => {
    const share = Math.max(shareOf(reading) ?? 0, SAME_POWER);
    return reading.power_W * (1 - share) > power_W * (1 + share);
  });
  if (!above) return null;
  const near = kept.filter((trial) => Math.abs(off_dB(trial)) <= NEAR_dB);
  const over = near.find((trial) => off_dB(trial) > 0);
  const under = near.find((trial) => off_dB(trial) < 0);
  return over && under ? over : null;
}
