import { formatQuantity } from '../units/format.js';
import { formatUncertain } from '../units/format-uncertain.js';

/** A power that no uncertainty is stated for, to three figures: `930 mW`, `99.6 W`. */
export const plainPower = (power_W: number): string => formatQuantity(power_W, 'W', { figures: 3 });

/** A power with its uncertainty, both to one decimal place, or that none is stated: `104.8 W \u00b1 1.1 W`. */
export const powerWithin = (power_W: number, uncertainty_W: number | null): string =>
  uncertainty_W === null
    ? `${plainPower(power_W)} (no uncertainty stated)`
    : formatUncertain(power_W, uncertainty_W, 'W');
