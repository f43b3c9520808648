import type { ChannelChain } from '../calibration/chain.js';
import type { SoundBlock } from './bench.js';

/** How many columns a bench captures: one for every bench channel and one for every current shunt. */
export function columnCount(chains: readonly ChannelChain[]): number {
  return chains.length + chains.filter(({ current }) => current !== null).length;
}

/**
 * Sorts captured columns by what they are.
 *
 * @param columns the voltage of every bench channel, then the current of every channel that has a tap, both in order
 */
export function sortColumns(
  columns: readonly Float64Array[],
  chains: readonly ChannelChain[],
): Pick<SoundBlock, 'channels' | 'currents'> {
  const channels = columns.slice(0, chains.length);
  if (columns.length === chains.length) return { channels };
  const taps = columns.slice(chains.length).values();
  return { channels, currents: chains.map(({ current }) => current && taps.next().value!) };
}
