import { formatQuantity } from '../units/format.js';
import { UNIT_RULES } from '../units/unit-rules.js';
import { worked } from './restate-load.js';

/** A power with its uncertainty to two figures in the same unit: `104.8 W \u00b1 1.1 W`. */
export function powerWithin(power_W: number, uncertainty_W: number | null): string {
  const power = worked(power_W, 'W');
  if (uncertainty_W === null) return `${power} (no uncertainty stated)`;
  const scale = UNIT_RULES.W.printed.find(({ symbol }) => power.endsWith(` ${symbol}`))!;
  const beside = formatQuantity(uncertainty_W / scale.factor, '1', { figures: 2, trim: false });
  return `${power} \u00b1 ${beside} ${scale.symbol}`;
}
