import { budgetOf, weighed } from '../measure/budget.js';
import { NEAR_1kHz, voltageContributions } from './level-contributions.js';
import { loadContributions, type MeasuredPower } from './power-budget.js';

/** A load that differs by more than this from what it is said to be is not what it is said to be: common practice, no source. */
const WRONG_PERCENT = 5;

/** Impedance that a load should show at a tone: its ohms as warm as it is, and its inductance. */
export function expectedImpedance_ohm({ load, warm_ohm, frequency_Hz }: MeasuredPower): number {
  return Math.hypot(warm_ohm, 2 * Math.PI * frequency_Hz * load.inductance_H);
}

/**
 * Percent by which the ohms that a current shunt shows may differ from those of the load before something is wrong: the
 * expanded uncertainty of that difference, and never more than 5 %. The tap is only known near 1 kHz: elsewhere, and
 * where a part states nothing, it is 5 %.
 */
export function loadTolerance_percent(power: MeasuredPower): number {
  const tap = power.chain.current?.stated;
  const near = power.frequency_Hz >= NEAR_1kHz[0] && power.frequency_Hz <= NEAR_1kHz[1];
  if (!tap || !near) return WRONG_PERCENT;
  const [voltage, load] = [voltageContributions(power), loadContributions(power)];
  const { expanded_percent } = budgetOf({
    quantity: 'voltage',
    value: 1,
    unit: 'V',
    components: [...voltage.components, ...load.components, ...weighed(tap, -1)],
    missing: [...voltage.missing, ...load.missing],
  });
  return Math.min(WRONG_PERCENT, expanded_percent ?? WRONG_PERCENT);
}
