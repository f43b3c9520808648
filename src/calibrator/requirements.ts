import type { ChannelChain } from '../calibration/chain.js';
import type { ChannelAnalysis } from '../measure/analysis.js';
import { decibelsOfVoltage, voltageRatio } from '../units/decibel.js';
import { formatQuantity } from '../units/format.js';
import { type Accuracy, limitOf } from './accuracy.js';
import { ConverterClips, MeterTooCoarse, NothingToCompareWith, NotLinear } from './calibration-errors.js';
import type { CalibrationWork } from './calibration-work.js';

/** Departure from a straight line beyond which a converter, a gain control or a reading is at fault: common practice, no source. */
const MOST_DEPARTURE_PERCENT = 0.5;
/** A meter that is no better than this tells a reading from a mistake no more: common practice, no source. */
const COARSEST_PERCENT = 50;

/** The meter's accuracy. @throws NothingToCompareWith when it was not stated */
export function requireAccuracy({ accuracy }: CalibrationWork): Accuracy {
  if (accuracy) return accuracy;
  throw new NothingToCompareWith({
    what: 'the accuracy of the meter is not stated, so nothing can be said of how good the result is',
    mend: `Give what its data sheet says for this range, as in --accuracy '0.5 % + 3 counts' --resolution '1 mV'`,
  });
}

/**
 * @param expected weakest reading that is to come
 * @param unit of the meter
 * @throws MeterTooCoarse when the meter's limits there leave nothing of it
 */
export function requireFine(accuracy: Accuracy, expected: number, unit: 'V' | 'ohm', channel: number): void {
  const percent = (100 * limitOf(accuracy, expected)) / expected;
  if (percent <= COARSEST_PERCENT) return;
  throw new MeterTooCoarse({
    what: `a meter of this accuracy is up to ${formatQuantity(percent, '%')} off at ${formatQuantity(expected, unit)}`,
    where: `channel ${channel}`,
    mend: 'Use a lower range or higher levels, or look at --accuracy and --resolution: one count is the last digit of the range',
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
    what: `${what} does not follow its level: ${formatQuantity(percent, '%')} off the straight line at ${decibelsOfVoltage(peak).toFixed(1)} dB`,
    where: `channel ${channel}`,
    mend: 'Read again if a meter reading was mistyped; else switch off limiters, automatic gain and effects in the interface',
  });
}

/** A sample this near to full scale has met the rail. */
const RAIL = 0.9995;
/** Below this level, -55 dB, nothing clips, and what looks like harmonics may be noise. */
const LOUD = voltageRatio(-55) / Math.SQRT2;
/** No converter worth calibrating distorts this much on its own: common practice, no source. */
const CLIPPED_PERCENT = 0.5;

/**
 * Makes sure that no input clips, at its rail or before it.
 *
 * @param analyses one a bench channel, digital full scale = 1
 * @param of the chains that carry a tone
 * @param all the chains of the bench, in the order of `analyses`
 * @throws ConverterClips
 */
export function requireClean(
  analyses: readonly ChannelAnalysis[],
  of: readonly ChannelChain[],
  all: readonly ChannelChain[],
): void {
  for (const chain of of) {
    const { peak, thd_percent, fundamental_rms } = analyses[all.indexOf(chain)]!;
    const level_dB = decibelsOfVoltage(fundamental_rms * Math.SQRT2).toFixed(1);
    const mend =
      'Turn the gain of the input down, or its level switch to line level, and leave both untouched from then on';
    if (peak >= RAIL)
      throw new ConverterClips({
        what: `input ${chain.input} reaches its rail`,
        where: `channel ${chain.channel}`,
        mend,
      });
    if (thd_percent !== null && thd_percent > CLIPPED_PERCENT && fundamental_rms > LOUD)
      throw new ConverterClips({
        what: `THD of ${formatQuantity(thd_percent, '%')} at ${level_dB} dB: output ${chain.output} or input ${chain.input} clips or is out of order`,
        where: `channel ${chain.channel}`,
        mend,
      });
  }
}
