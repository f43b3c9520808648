import { asTold, inputError } from '../errors/error-table.js';
import { isWired, type Plan } from '../sequence/plan.js';
import { formatQuantity } from '../units/format.js';
import { faultVoltage } from './fault-voltage.js';
import type { SafetyBench } from './hazards.js';

/** An attenuator is rated for less than the supply of the unit can put on it. */
export const RatingBelowSupply = inputError('RATING_BELOW_SUPPLY', asTold);

/** Every attenuator that a plan uses must stand what the unit's supply can put on it, where that is known. @throws RatingBelowSupply */
export function requireRatings(plan: Plan, bench: SafetyBench): void {
  const fault = faultVoltage(bench.unitSupply);
  if (!fault) return;
  const used = new Set(plan.steps.filter(isWired).flatMap(({ driven, wired = driven }) => wired));
  const weak = bench.channels.filter(
    ({ channel, attenuatorRating_Vpk }) => used.has(channel) && attenuatorRating_Vpk < fault.voltage_V,
  );
  if (weak.length === 0) return;
  const each = weak.map(
    ({ channel, attenuatorRating_Vpk }) =>
      `that of channel ${channel} for ${formatQuantity(attenuatorRating_Vpk, 'V')} peak`,
  );
  throw new RatingBelowSupply({
    what:
      `the supply of the unit can put ${formatQuantity(fault.voltage_V, 'V')} (${fault.words}) on an output, ` +
      `and an attenuator is rated for less: ${each.join(', ')}`,
    mend: 'Nothing was played. Use attenuators rated for at least that voltage',
  });
}
