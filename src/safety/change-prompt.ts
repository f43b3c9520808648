import { channelWords } from '../sequence/driven-channels.js';
import { type OperatorChange, operatorChange } from '../sequence/operator-change.js';
import type { WiredStep } from '../sequence/plan.js';
import type { Tap } from '../sequence/step-base.js';
import { formatQuantity } from '../units/format.js';
import { listed } from '../units/listed.js';

/**
 * What the operator is asked to do before a step: exactly what to move, and only what is not as it was. Null
 * when everything stays.
 *
 * @param before the last step that needed loads; null for the first, for which everything is named
 */
export function changePrompt(step: WiredStep, before: WiredStep | null): string | null {
  const change = operatorChange(step, before);
  if (change === null) return null;
  const cautions = before
    ? ' Measure that the outputs carry nothing before you touch them: supplies stay charged, and the loads may be hot enough to burn.'
    : '';
  const works = [loadWork(step, before, change), tapWork(step, change), mainsWork(change)];
  return `Switch the unit off.${cautions} ${works.filter((work) => work !== null).join(' ')} Switch the unit on again. Done?`;
}

function loadWork(step: WiredStep, before: WiredStep | null, { load }: OperatorChange): string | null {
  if (load === null) return null;
  const ohms = formatQuantity(step.load_ohm, 'ohm');
  const place = channelWords(load);
  const instead =
    before && before.load_ohm !== step.load_ohm
      ? ` in place of ${formatQuantity(before.load_ohm, 'ohm')}`
      : '';
  const each = load.length > 1 ? 'each of ' : '';
  // With fewer inputs than channels, where the taps go is said on its own.
  const taps = step.taps
    ? ''
    : load.length > 1
      ? ", with the tap of each at the load's own terminals"
      : ", with its tap at the load's own terminals";
  return `Connect ${ohms} to ${each}${place}${instead}${taps}.`;
}

function tapWork(step: WiredStep, { load, taps }: OperatorChange): string | null {
  // New loads need the taps at their terminals, also where those of other loads were.
  const moved = load === null ? taps : (step.taps ?? null);
  if (moved === null) return null;
  const places = moved.map(
    ({ input, channel, shunt }: Tap) =>
      `that of input ${input} at ${shunt ? 'the shunt of ' : ''}channel ${channel}`,
  );
  return `Put the ${moved.length > 1 ? 'taps' : 'tap'} at the load's own terminals: ${listed(places)}.`;
}

function mainsWork({ mains_V }: OperatorChange): string | null {
  if (mains_V === null) return null;
  if (mains_V === 'wall') return 'Take the variable transformer out: the unit runs on the mains of the wall.';
  return (
    `Set the mains of the unit to ${formatQuantity(mains_V, 'V', { figures: 4, trim: true })} with a variable transformer that can carry it, ` +
    "within the range on the unit's nameplate, and check it with a meter; such a transformer does not isolate."
  );
}
