import type { UnitSupply } from '../bench/unit-supply.js';
import type { BenchFacts } from '../sequence/bench-facts.js';
import { isWired, type Plan } from '../sequence/plan.js';
import { formatDuration, formatQuantity } from '../units/format.js';
import { askedOfLoads } from './asked-of-loads.js';
import { faultVoltage } from './fault-voltage.js';
import { limitPassed } from './touch-limits.js';

export type HazardCode = 'live-terminals' | 'full-supply' | 'heat' | keyof typeof ALWAYS;

/** Something about a plan that can hurt somebody or break something. */
export interface Hazard {
  readonly code: HazardCode;
  /** In plain words, with volts, amps and watts. */
  readonly text: string;
  /** Where the limit in the text comes from; empty when it names none. */
  readonly source: string;
}

/** A bench, with what its file or a person says of the unit's supply. */
export type SafetyBench = BenchFacts & { readonly unitSupply?: UnitSupply | null };

function liveTerminals({ voltage_Vrms, voltage_Vpk, current_Apk }: Plan['estimate']['worst']): Hazard {
  const limit = limitPassed(voltage_Vrms, voltage_Vpk);
  const level =
    `Up to ${formatQuantity(voltage_Vrms, 'V')} rms (${formatQuantity(voltage_Vpk, 'V')} peak) ` +
    `and ${formatQuantity(current_Apk, 'A')} peak at the output terminals`;
  const passed = limit ? `: ${limit.words} (limit ${limit.rms_V} V rms, ${limit.peak_V} V peak)` : '';
  return {
    code: 'live-terminals',
    text: `${level}${passed}. Keep terminals, loads and taps covered, and keep your hands away while it plays.`,
    source: limit?.source ?? '',
  };
}

function fullSupply({ unitSupply }: SafetyBench): Hazard {
  const fault = faultVoltage(unitSupply);
  const here = fault ? `: ${formatQuantity(fault.voltage_V, 'V')} here, ${fault.words}` : '';
  return {
    code: 'full-supply',
    text: `A unit can fail with its full supply voltage at its output, at any level and at rest${here}. Treat the terminals as live from the moment it is switched on.`,
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
      `(at most ${formatQuantity(worst.heat_J / 3600, '1', { figures: 2 })} Wh into the hottest load). Loads get hot enough to burn skin and to ` +
      'light paper. Start their fans first, and let them cool before you handle them.',
    source: '',
  };
}

/** Common practice, no source. */
const ALWAYS = {
  'both-terminals-live':
    'Bridged outputs are live on both terminals, and so are those of many switching amplifiers. Never join their negatives, and never clip a grounded lead to either. Attenuator and shunt need a common-mode rating, or a differential input.',
  carrier:
    'Switching outputs carry residue of their carrier. Put a passive low-pass ahead of the converter. Otherwise the residue can overload the input, or fold into the band.',
  valves:
    'Valve units hold several hundred volts inside. Never run one without its load: the output transformer can break down.',
  'mains-parts':
    'Mains parts stay live with the front switch off: pull the plug before you open a cover. The primary capacitors of switch-mode supplies hold 325 to 400 V DC, even after the plug is out.',
  'stored-charge':
    'Supply capacitors stay charged after switching off. Pull the plug first. Discharge them through a suitably rated resistor on an insulated lead. Then measure that they are empty before you touch anything.',
  'protective-earth':
    'Never lift the protective earth of anything on the bench to get rid of hum. A residual-current device does not help behind an isolating transformer, on the secondary side, or between two conductors.',
  hearing:
    'A loudspeaker that is connected by mistake can damage hearing within seconds, and will be destroyed.',
} as const;

/** What can go wrong with a plan on a bench, worst first. The same text for every kind of bench. */
export function hazards(plan: Plan, bench: SafetyBench): Hazard[] {
  if (!plan.steps.some(isWired)) return [];
  const always = Object.entries(ALWAYS).map(([code, text]) => ({
    code: code as HazardCode,
    text,
    source: '',
  }));
  return [liveTerminals(plan.estimate.worst), fullSupply(bench), heat(plan, bench), ...always];
}
