import type { ChannelChain, Load } from '../../calibration/chain.js';
import type { Reading } from '../../record/run-record.js';
import { voltageRatio } from '../../units/decibel.js';

/** A driven channel that is read, with what is known about it. */
export interface DrivenChannel {
  readonly chain: ChannelChain;
  readonly load: Load;
  /** Load volts divided by interface output volts, as measured at low level. */
  readonly gain: number;
}

/** Interface output volts (rms) that put `power_W` into the load, by the small-signal gain. */
export function outputFor({ load, gain }: DrivenChannel, power_W: number): number {
  return Math.sqrt(power_W * load.measured_ohm) / gain;
}

/** The most power that one interface output voltage asks of any of the channels. */
export function mostPowerAsked(channels: readonly DrivenChannel[], output_V: number): number {
  return Math.max(...channels.map(({ load, gain }) => (output_V * gain) ** 2 / load.measured_ohm));
}

/** The same output voltage on every channel, such that none of them is asked for more than `power_W`. */
export function commonOutput(channels: readonly DrivenChannel[], power_W: number): number {
  return Math.min(...channels.map((channel) => outputFor(channel, power_W)));
}

/** Highest rms output voltage that every one of the channels can play. */
export function fullScaleOutput(channels: readonly DrivenChannel[]): number {
  return Math.min(...channels.map(({ chain }) => chain.outputFullScale_Vpk / Math.SQRT2));
}

/** Digital peak that gives an rms voltage at the output of a channel, never past full scale. */
export function peakFor(chain: ChannelChain, output_V: number): number {
  return Math.min(1, (output_V * Math.SQRT2) / chain.outputFullScale_Vpk);
}

/** Interface output volts (rms) that a reading was taken with. */
export function outputOf({ fundamental_V, gain_dB }: Reading): number {
  return fundamental_V / voltageRatio(gain_dB);
}
