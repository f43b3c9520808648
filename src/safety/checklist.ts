import type { BenchFacts } from '../sequence/bench-facts.js';
import { isWired, type Plan, type WiredStep } from '../sequence/plan.js';
import { formatQuantity } from '../units/format.js';
import { listed } from '../units/listed.js';
import { askedOfLoads } from './asked-of-loads.js';
import { DRY_LIMIT } from './touch-limits.js';

/** One thing to be confirmed by a person before a real bench is energised. */
export interface ChecklistItem {
  /** Stable name, for the record. */
  readonly id: string;
  /** A question that is answered with yes. */
  readonly text: string;
}

function loadItem(steps: readonly WiredStep[], bench: BenchFacts): ChecklistItem {
  const asked = askedOfLoads(steps, bench);
  if (asked.length === 1) {
    const { rating_W, most_W } = asked[0]!;
    return {
      id: 'load-rating',
      text: `Does the label on every load confirm a continuous rating of at least ${formatQuantity(rating_W, 'W')}, as the bench file says (up to ${formatQuantity(most_W, 'W')} will be requested)?`,
    };
  }
  // One figure for all would let the weakest rating stand for a load that is asked for more.
  const each = asked.map(
    ({ load_ohm, rating_W, most_W }) =>
      `at least ${formatQuantity(rating_W, 'W')} on those of ${formatQuantity(load_ohm, 'ohm')} (up to ${formatQuantity(most_W, 'W')} will be requested)`,
  );
  return {
    id: 'load-rating',
    text: `Do the labels on the loads confirm the continuous ratings that the bench file gives: ${each.join(', ')}?`,
  };
}

function attenuatorItem(steps: readonly WiredStep[], plan: Plan, bench: BenchFacts): ChecklistItem {
  const driven = [...new Set(steps.flatMap((step) => step.driven))].sort((a, b) => a - b);
  const ratios = bench.channels
    .filter(({ channel }) => driven.includes(channel))
    .map(({ attenuator_ratio }) => formatQuantity(attenuator_ratio, '1'));
  const same = new Set(ratios).size === 1 ? `1:${ratios[0]}` : ratios.map((ratio) => `1:${ratio}`).join(', ');
  return {
    id: 'attenuators',
    text: `Is an attenuator (${same}) between every tap and its input on ${driven.length === 1 ? 'channel' : 'channels'} ${listed(driven)}, good for ${formatQuantity(plan.estimate.worst.voltage_Vpk, 'V')} peak, and no input wired to an output directly?`,
  };
}

/** What a person confirms before the first energised step, in the order in which to look. Empty when nothing plays. */
export function checklist(plan: Plan, bench: BenchFacts): ChecklistItem[] {
  const steps = plan.steps.filter(isWired);
  if (steps.length === 0) return [];
  const { worst } = plan.estimate;
  const live = worst.voltage_Vpk > DRY_LIMIT.peak_V;
  return [
    {
      id: 'earth',
      text: 'Is the protective earth of the unit and of everything on the bench intact and connected?',
    },
    {
      id: 'no-speakers',
      text: 'Is nothing but dummy loads connected to the outputs: no loudspeaker, no headphones, on any channel?',
    },
    loadItem(steps, bench),
    attenuatorItem(steps, plan, bench),
    {
      id: 'bridged',
      text: 'If an output is bridged or switching: is its tap isolated or differential, so that no lead grounds a live terminal?',
    },
    {
      id: 'air',
      text: `Do the loads stand clear of anything that can burn, with air around them for ${formatQuantity(worst.total_W, 'W')} of heat?`,
    },
    { id: 'cut-off', text: 'Is there a switch within reach that cuts the mains of the unit at once?' },
    ...(live
      ? [
          {
            id: 'covered',
            text: `Are all terminals that will carry ${formatQuantity(worst.voltage_Vpk, 'V')} peak covered or out of reach?`,
          },
        ]
      : []),
    {
      id: 'people',
      text: 'Are you qualified for this work under your local rules, and does somebody know that you are doing it?',
    },
  ];
}
