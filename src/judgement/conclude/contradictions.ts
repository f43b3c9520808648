import type { RunRecord } from '../../record/run-record.js';
import { within } from '../bounds/coverage.js';
import { exceeds, keeps, type Trial, trialsOf, type Witness, witness } from '../bounds/trials.js';
import { TRADE_RULE } from '../protocol/trade-rule.js';
import type { RatedPower } from '../rating/rating.js';
import { highest, isSure, lowest, trialsIn } from '../verdict/contrary-reading.js';
import type { Conclusion } from './conclusion.js';

/** A conclusion with a reading of the same run that says the contrary. */
export interface Contradiction {
  readonly conclusion: Conclusion;
  readonly reading: Witness;
}

/** Compares every conclusion about power with every reading of the run. */
export function contradictions(conclusions: readonly Conclusion[], record: RunRecord): Contradiction[] {
  const trials = trialsOf(record, 'THD+N').filter(isSure);
  return conclusions.flatMap((conclusion) => {
    const against = againstOf(conclusion, trials);
    return against === undefined ? [] : [{ conclusion, reading: witness(against) }];
  });
}

function againstOf(conclusion: Conclusion, trials: readonly Trial[]): Trial | undefined {
  switch (conclusion.code) {
    case 'full-band-power': {
      const { setting, limit_percent, over_Hz, power } = conclusion;
      const own = trialsIn(trials, setting).filter(({ point }) => within(point.nominal_Hz, over_Hz));
      return exceededUnder(own, power, limit_percent) ?? keptOver(own, power, limit_percent);
    }
    case 'power-at':
      for (const { limit_percent, power } of conclusion.powers) {
        const found = keptOver(trialsIn(trials, conclusion.setting), power, limit_percent);
        if (found) return found;
      }
      return undefined;
    default:
      return undefined;
  }
}

/** A rating over the band is kept from 250 mW up to its lower end, by every channel at every frequency. */
function exceededUnder(
  trials: readonly Trial[],
  { power_W, uncertainty_W, bound }: RatedPower,
  limit_percent: number,
): Trial | undefined {
  if (bound === 'at-most') return undefined;
  const sure_W = power_W - (uncertainty_W ?? 0);
  return trials.find(
    (trial) =>
      exceeds(trial, limit_percent) && trial.reading.power_W >= TRADE_RULE.from_W && highest(trial) < sure_W,
  );
}

/** What is said to be the highest power is not exceeded by a reading at its very place that keeps the limit. */
function keptOver(
  trials: readonly Trial[],
  { here_W, uncertainty_W, bound, channel, nominal_Hz }: RatedPower,
  limit_percent: number,
): Trial | undefined {
  if (bound === 'at-least') return undefined;
  const most_W = here_W + (uncertainty_W ?? 0);
  return trials.find(
    (trial) =>
      trial.reading.channel === channel &&
      trial.point.nominal_Hz === nominal_Hz &&
      keeps(trial, limit_percent) &&
      lowest(trial) > most_W,
  );
}
