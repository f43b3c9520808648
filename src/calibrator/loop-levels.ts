import type { ChannelChain } from '../calibration/chain.js';
import { decibelsOfVoltage, voltageRatio } from '../units/decibel.js';

/** Highest level at an input: clear of its rail, and of the `near-input-rail` flag. */
export const TOP_dB = -1.5;
/** Highest level at an output: clear of its rail. */
const MOST_PEAK = voltageRatio(-1);

/**
 * Digital peak at the output that gives a level at the input of a loop; the highest one allowed where that is not enough.
 *
 * @param level_dB at the input, relative to full scale
 * @param gain level at the input for a level of 1 at the output
 */
export function peakForInput(level_dB: number, gain: number): number {
  return Math.min(voltageRatio(level_dB) / gain, MOST_PEAK);
}

/** The same for every channel of several loops, by bench channel. @param gains of the loops */
export const peaksForInput = (
  chains: readonly ChannelChain[],
  level_dB: number,
  gains: ReadonlyMap<number, number>,
): Map<number, number> =>
  new Map(chains.map(({ channel }) => [channel, peakForInput(level_dB, gains.get(channel)!)]));

/** Highest level that a loop of this gain brings to its input, dB relative to full scale. */
export function mostAtInput_dB(gain: number): number {
  return decibelsOfVoltage(MOST_PEAK * gain);
}
