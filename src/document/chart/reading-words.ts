import type { Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { typeset } from '../html/typeset.js';
import { powerWithin } from '../model/wording.js';

/** Below this share of the value an uncertainty does not reach the figures that are printed. */
const LEAST_SHARE = 5e-3;

/**
 * A reading as it is read off a chart: `channel 1: 20 Hz, 99.8 W ± 0.23 W, 28.3 V, THD+N 0.1 % ± 0.002 %`.
 *
 * @param label of the curve, of our own making
 * @param at where on the axis the reading stands, if that is neither its power nor its THD+N
 */
export function readingWords(label: string, reading: Reading, at: readonly string[] = []): string {
  const { power_W, uncertainty_W, voltage_V, thdn_percent, thdn_uncertainty_percent: within } = reading;
  const beside =
    within === null || within < LEAST_SHARE * thdn_percent ? '' : ` ± ${formatQuantity(within, '%')}`;
  const parts = [
    ...at,
    powerWithin(power_W, uncertainty_W),
    formatQuantity(voltage_V, 'V'),
    `THD+N ${formatQuantity(thdn_percent, '%')}${beside}`,
  ];
  return typeset(`${label}: ${parts.join(', ')}`);
}
