import { formatQuantity } from '../units/format.js';
import type { Accuracy } from './accuracy.js';
import { NothingToCompareWith, NotLinear } from './calibration-errors.js';
import type { CalibrationWork } from './calibration-work.js';

/** Departure from a straight line beyond which a converter, a gain control or a reading is at fault: common practice, no source. */
const MOST_DEPARTURE_PERCENT = 0.5;

/** The meter's accuracy. @throws NothingToCompareWith when it was not stated */
export function requireAccuracy({ accuracy }: CalibrationWork): Accuracy {
  if (accuracy) return accuracy;
  throw new NothingToCompareWith({
    what: 'the accuracy of the meter is not stated, so nothing can be said of how good the result is',
    mend: `Give what its data sheet says for this range, as in --accuracy '0.5 % + 3 counts' --resolution '1 mV'`,
  });
}

/**
 * @param percent largest departure from proportion to the level
 * @param peak digital level at which it was found
 * @throws NotLinear
 */
export function requireLinear(percent: number, peak: number, what: string, channel: number): void {
  if (percent <= MOST_DEPARTURE_PERCENT) return;
  throw new NotLinear({
    what: `${what} does not follow its level: ${formatQuantity(percent, '%')} off the straight line at ${(20 * Math.log10(peak)).toFixed(1)} dB`,
    where: `channel ${channel}`,
    mend: 'Read again if a meter reading was mistyped; else switch off limiters, automatic gain and effects in the interface',
  });
}
