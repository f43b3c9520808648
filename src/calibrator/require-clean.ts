import type { ChannelChain } from '../calibration/chain.js';
import type { ChannelAnalysis } from '../measure/analysis.js';
import { decibelsOfVoltage, voltageRatio } from '../units/decibel.js';
import { formatQuantity } from '../units/format.js';
import { ConverterClips } from './calibration-errors.js';

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
