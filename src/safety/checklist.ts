import { channelWords } from '../sequence/driven-channels.js';
import { isWired, type Plan, type WiredStep } from '../sequence/plan.js';
import { formatQuantity } from '../units/format.js';
import { askedOfLoads } from './asked-of-loads.js';
import { faultVoltage, faultWords } from './fault-voltage.js';
import type { SafetyBench } from './hazards.js';
import { DRY_LIMIT } from './touch-limits.js';

/** One thing to be confirmed by a person on a real bench. */
export interface ChecklistItem {
  /** Stable name. */
  readonly id: string;
  /** A question that is answered with yes. */
  readonly text: string;
}

/** What is confirmed before anything is connected, in the order in which to look. Empty when nothing plays. */
export function beforeConnecting(plan: Plan): ChecklistItem[] {
  if (!plan.steps.some(isWired)) return [];
  const heat = formatQuantity(plan.estimate.worst.total_W, 'W');
  return itemsOf({
    people:
      'Are you qualified for this work under your local rules, and is somebody present who can cut the mains and give first aid?',
    'cut-off':
      'Is one switch within reach that cuts the mains of the unit, without leaning over the unit or the loads?',
    earth: 'Is the protective earth intact and connected on everything here that has one?',
    'residual-current': 'Is a residual-current device fitted in the mains of this bench?',
    covers:
      'Are the covers of the unit closed? If one must stay off: are its mains parts and primary capacitors shielded from touch?',
    air: `Do the loads stand clear of anything that can burn, with their fans running and air for ${heat} of heat?`,
    fire: 'Is a fire extinguisher for electrical equipment at hand?',
  });
}

/** Items by their names, in the order in which to look. */
export const itemsOf = (texts: Readonly<Record<string, string>>): ChecklistItem[] =>
  Object.entries(texts).map(([id, text]) => ({ id, text }));

/** What is confirmed on connections that have just been made, with the unit still off. */
export interface ConnectionItem extends ChecklistItem {
  /** Whether it must be looked at again when no more than taps were moved. */
  readonly concernsTaps: boolean;
}

/** @param steps those that the connections serve */
export function onConnections(steps: readonly WiredStep[], plan: Plan, bench: SafetyBench): ConnectionItem[] {
  if (steps.length === 0) return [];
  const fault = faultVoltage(bench.unitSupply);
  const outputs = bench.unitSupply?.outputs ?? null;
  const { voltage_Vpk, current_Apk } = plan.estimate.worst;
  const low = fault !== null && Math.max(fault.voltage_V, voltage_Vpk) <= DRY_LIMIT.peak_V;
  const item = (id: string, concernsTaps: boolean, text: string) => ({ id, concernsTaps, text });
  return [
    item(
      'no-speakers',
      false,
      'Are dummy loads the only thing on the outputs: no loudspeaker and no headphones on any channel? They could damage hearing.',
    ),
    item('load-rating', false, loadText(steps, bench)),
    item('attenuators', true, attenuatorText(steps, bench)),
    ...(outputs === 'single-ended' || outputs === 'transformer'
      ? []
      : [item('both-terminals', true, bothTerminalsText(bench))]),
    item(
      'carrier',
      true,
      'If the unit is a switching amplifier: is a passive low-pass fitted ahead of every input, against the residue of their carrier?',
    ),
    ...(outputs === 'transformer' || outputs === null
      ? [item('valves', false, 'If the unit has valves: is a load connected to every output, driven or not?')]
      : []),
    item(
      'leads',
      true,
      `Are leads and connectors rated for ${formatQuantity(current_Apk, 'A')} peak, and are all meters clipped on already?`,
    ),
    ...(low
      ? []
      : [
          item(
            'covered',
            true,
            `The outputs can carry ${fault ? faultWords(fault) : 'the full supply voltage of the unit'}. Are all terminals covered or out of reach?`,
          ),
        ]),
  ];
}

function loadText(steps: readonly WiredStep[], bench: SafetyBench): string {
  const asked = askedOfLoads(steps, bench);
  const watts = (power_W: number) => formatQuantity(power_W, 'W');
  if (asked.length === 1) {
    const { rating_W, most_W } = asked[0]!;
    return `Does the label on every load state a continuous rating of at least ${watts(rating_W)}? This run requests up to ${watts(most_W)}.`;
  }
  // One figure for all would let the weakest rating stand for a load that gets more.
  const each = asked.map(
    ({ load_ohm, rating_W, most_W }) =>
      `at least ${watts(rating_W)} on those of ${formatQuantity(load_ohm, 'ohm')} (this run requests up to ${watts(most_W)})`,
  );
  return `Do the labels on the loads state these continuous ratings: ${each.join(', ')}?`;
}

function attenuatorText(steps: readonly WiredStep[], bench: SafetyBench): string {
  const driven = [...new Set(steps.flatMap((step) => step.driven))].sort((a, b) => a - b);
  const chains = bench.channels.filter(({ channel }) => driven.includes(channel));
  const ratios = chains.map(({ attenuator_ratio }) => attenuator_ratio);
  const each = [
    ...new Set([Math.min(...ratios), Math.max(...ratios)].map((ratio) => `1:${formatQuantity(ratio, '1')}`)),
  ];
  const fault = faultVoltage(bench.unitSupply);
  const left = fault ? ` (${formatQuantity(fault.voltage_V / Math.min(...ratios), 'V')})` : '';
  return (
    `Is an attenuator (${each.join(' to ')}), rated for at least ${faultWords(fault)}, between every tap and its input on ` +
    `${channelWords(driven)}, and can the inputs take that voltage divided by the ratio${left}?`
  );
}

function bothTerminalsText(bench: SafetyBench): string {
  const fault = faultVoltage(bench.unitSupply);
  const least = fault
    ? `at least ${formatQuantity(fault.toGround_V, 'V')}`
    : 'at least the supply of the unit';
  const given =
    bench.unitSupply?.outputs === 'bridged'
      ? 'The outputs are bridged'
      : 'If an output is bridged or switching';
  return `${given}: is no negative joined to another and no grounded lead on either terminal, and are attenuator and shunt differential or rated for a common mode of ${least}?`;
}

/** All that a person confirms, as a plan lists it before anything is typed. */
export function checklist(plan: Plan, bench: SafetyBench): ChecklistItem[] {
  return [...beforeConnecting(plan), ...onConnections(plan.steps.filter(isWired), plan, bench)];
}
