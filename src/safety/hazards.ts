import type { BenchFacts } from '../sequence/bench-facts.js';
import { isWired, type Plan } from '../sequence/plan.js';
import { formatDuration, formatQuantity } from '../units/format.js';
import { askedOfLoads } from './asked-of-loads.js';
import { BURN_degC, limitPassed } from './touch-limits.js';

export type HazardCode =
  | 'live-terminals'
  | 'heat'
  | 'both-terminals-live'
  | 'stored-charge'
  | 'protective-earth';

/** Something about a plan that can hurt somebody or break something. */
export interface Hazard {
  readonly code: HazardCode;
  /** In plain words, with volts, amps and watts. */
  readonly text: string;
  /** Where the limit in the text comes from; empty when it names none. */
  readonly source: string;
}

function liveTerminals({ voltage_Vrms, voltage_Vpk, current_Apk }: Plan['estimate']['worst']): Hazard {
  const limit = limitPassed(voltage_Vrms, voltage_Vpk);
  const level =
    `Up to ${formatQuantity(voltage_Vrms, 'V')} rms (${formatQuantity(voltage_Vpk, 'V')} peak) ` +
    `and ${formatQuantity(current_Apk, 'A')} peak at the output terminals`;
  return limit
    ? {
        code: 'live-terminals',
        text: `${level}: ${limit.words} (limit ${limit.rms_V} V rms, ${limit.peak_V} V peak). Keep terminals, loads and taps covered, and hands away while it plays.`,
        source: limit.source,
      }
    : {
        code: 'live-terminals',
        text: `${level}. A unit can fail with its full supply voltage at its output: treat the terminals as live.`,
        source: '',
      };
}

function heat(plan: Plan, bench: BenchFacts): Hazard {
  const { worst, seconds } = plan.estimate;
  const together =
    worst.total_W > worst.power_W ? `, ${formatQuantity(worst.total_W, 'W')} in all of them together` : '';
  const rated = askedOfLoads(plan.steps.filter(isWired), bench);
  const ratings = rated.map(
    ({ load_ohm, rating_W }, at) =>
      `the weakest${rated.length === 1 ? '' : ` of ${formatQuantity(load_ohm, 'ohm')}`}${at === 0 ? ' is rated' : ''} ${formatQuantity(rating_W, 'W')}`,
  );
  return {
    code: 'heat',
    text:
      `Up to ${formatQuantity(worst.power_W, 'W')} in each load${together} (${ratings.join(', ')}), over about ${formatDuration(seconds)} ` +
      `(at most ${formatQuantity(worst.heat_J / 3600, '1', { figures: 2 })} Wh into the hottest load). Loads get hot enough to burn skin and ` +
      `to light paper: bare metal burns at once from about ${BURN_degC} °C. Give them air, and nothing that can burn nearby.`,
    source: 'ISO 13732-1 (from memory)',
  };
}

const ALWAYS: readonly Hazard[] = [
  {
    code: 'both-terminals-live',
    text: 'Bridged and switching outputs are live on both terminals: a grounded measuring lead shorts half of the amplifier through the interface. Use an isolating or differential attenuator on them.',
    source: '',
  },
  {
    code: 'stored-charge',
    text: 'Supply capacitors stay charged after switching off. Before touching the inside of a unit, measure that they are empty.',
    source: '',
  },
  {
    code: 'protective-earth',
    text: 'Never lift the protective earth of anything on the bench to get rid of hum.',
    source: '',
  },
];

/** What can go wrong with a plan on a bench, worst first. The same text for every kind of bench. */
export function hazards(plan: Plan, bench: BenchFacts): Hazard[] {
  return plan.steps.some(isWired) ? [liveTerminals(plan.estimate.worst), heat(plan, bench), ...ALWAYS] : [];
}
