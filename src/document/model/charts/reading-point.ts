import { formatQuantity } from '../../../units/format.js';
import { formatUncertain } from '../../../units/format-uncertain.js';
import { typeset } from '../../html/typeset.js';
import type { ChartPoint } from '../block.js';
import { isDoubtful } from '../doubtful.js';
import type { PlacedReading } from './step-readings.js';

/** Below this share of the value an uncertainty does not reach the figures that are printed. */
const LEAST_SHARE = 5e-3;

/**
 * A reading as a point of a chart, with what is read off it: `channel 1: 20 Hz, 99.80 W ± 0.23 W, 28.3 V, THD+N 0.1 %`.
 *
 * @param at where on the axis it stands, if that is neither its power nor its THD+N
 */
export function readingPoint(
  { reading }: PlacedReading,
  { x, y, within = null }: { readonly x: number; readonly y: number; readonly within?: number | null },
  at: string | null = null,
): ChartPoint {
  return {
    x,
    y,
    within,
    doubtful: isDoubtful(reading),
    // Made when it is asked for: words for thousands of points without a marker would take most of the time of a report.
    get hint() {
      const { channel, power_W, uncertainty_W, voltage_V, thdn_percent, flags } = reading;
      const { thdn_uncertainty_percent: distortion } = reading;
      const stated = distortion !== null && distortion >= LEAST_SHARE * thdn_percent ? distortion : null;
      const parts = [
        ...(at === null ? [] : [at]),
        formatUncertain(power_W, uncertainty_W, 'W'),
        formatQuantity(voltage_V, 'V'),
        `THD+N ${formatUncertain(thdn_percent, stated, '%')}`,
      ];
      return [typeset(`channel ${channel}: ${parts.join(', ')}`), ...flags].join('; ');
    },
  };
}
