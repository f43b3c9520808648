import { type Budget, budgetOf, limits, weighed } from '../measure/budget.js';

/**
 * Uncertainty budget of a frequency. It rests on the interface's clock alone, since the tone is a whole number of cycles
 * in a whole number of its ticks.
 *
 * @param clockLimits_ppm null: nobody stated them; 0: exact, as in a simulation
 */
export function frequencyBudget(frequency_Hz: number, clockLimits_ppm: number | null): Budget {
  const clock =
    clockLimits_ppm === 0 ? 'clock: exact, by simulation' : `clock: within ${clockLimits_ppm} ppm`;
  return budgetOf({
    quantity: 'frequency',
    value: frequency_Hz,
    unit: 'Hz',
    components: clockLimits_ppm === null ? [] : weighed([limits(clock, clockLimits_ppm / 1e4)], 1),
    missing: clockLimits_ppm === null ? ['clock of the interface'] : [],
  });
}
