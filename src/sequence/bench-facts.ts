import { type ChannelChain, type Load, loadVoltsPerUnit } from '../calibration/chain.js';
import type { Floor } from '../calibration/floor.js';
import { voltageRatio } from '../units/decibel.js';
import { formatQuantity } from '../units/format.js';

/** What a sequence must know of a bench to be laid out for it. Every bench file gives it. */
export interface BenchFacts {
  readonly name: string;
  readonly rate_Hz: number;
  readonly channels: readonly ChannelChain[];
  readonly assumedGain_dB: number;
  readonly floor: Floor | null;
}

/** A driven channel with the load it gets. */
export interface LoadedChannel {
  readonly chain: ChannelChain;
  readonly load: Load;
}

/** Peak volts that an input may see at the load without coming within 1 dB of its converter's rails. */
const INPUT_SHARE = voltageRatio(-1);

/** One limit of the bench for one channel, as the power of a sine that just reaches it. */
interface Limit {
  readonly power_W: number;
  readonly text: string;
}

const sinePower = (peak_V: number, load: Load) => (peak_V * peak_V) / (2 * load.measured_ohm);

function limitsOf({ chain, load }: LoadedChannel): [rating: Limit, attenuator: Limit, input: Limit] {
  const byVoltage = (peak_V: number, limit: string): Limit => {
    const power_W = sinePower(peak_V, load);
    const means = `${formatQuantity(power_W, 'W')} into ${formatQuantity(load.measured_ohm, 'ohm')}`;
    return { power_W, text: `${limit} ${formatQuantity(peak_V, 'V')} peak, which is ${means}` };
  };
  return [
    { power_W: load.shortRating_W, text: `the load is rated ${formatQuantity(load.shortRating_W, 'W')}` },
    byVoltage(chain.attenuatorRating_Vpk, 'the attenuator is rated'),
    byVoltage(loadVoltsPerUnit(chain), 'the input reads up to'),
  ];
}

/** The most power that a step may ask for when it leaves the choice to the bench: `to: load rating`. */
export function benchMost_W(channels: readonly LoadedChannel[]): number {
  const powers = channels.flatMap((channel) => {
    const [, attenuator, input] = limitsOf(channel);
    return [channel.load.rating_W, attenuator.power_W, input.power_W * INPUT_SHARE ** 2];
  });
  return Math.min(...powers);
}

/** Nobody needs to read the same limit for 64 channels. */
const MOST_NAMED = 3;

/**
 * The limits of the bench that powers would pass, in words; null when they may be asked for.
 *
 * @param power_W for each of the channels
 */
export function limitsPassed(
  channels: readonly LoadedChannel[],
  power_W: (channel: LoadedChannel) => number,
): string | null {
  const passed = channels.flatMap((channel) =>
    limitsOf(channel)
      // A power that was itself computed from a limit may come out a rounding error above it.
      .filter((limit) => power_W(channel) > limit.power_W * (1 + 1e-9))
      .map(({ text }) => `channel ${channel.chain.channel}: ${text}`),
  );
  if (passed.length === 0) return null;
  const more = passed.length - MOST_NAMED;
  return passed.slice(0, MOST_NAMED).join(', ') + (more > 0 ? `, and ${more} more limits` : '');
}
