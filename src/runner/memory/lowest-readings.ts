import { type ChannelChain, loadVoltsPerUnit } from '../../calibration/chain.js';
import type { Reading } from '../../record/run-record.js';
import { levelAtInput_dB } from '../capture/reading.js';

type Seen = Pick<Reading, 'frequency_Hz' | 'voltage_V' | 'thdn_percent'>;

/** A converter distorts by its level and a chain by frequency: what was read further away than this says nothing here. */
const NEAR_OCTAVES = 0.5;
const NEAR_dB = 3;

/**
 * The THD+N that a run has read, to bound what the bench itself adds where nobody stated that: it is no more than the lowest
 * reading of the same channel near the same frequency and converter level, whichever step took it.
 */
export class LowestReadings {
  readonly #seen = new Map<number, Seen[]>();

  see(reading: Reading): void {
    const { channel, frequency_Hz, voltage_V, thdn_percent } = reading;
    const own = this.#seen.get(channel) ?? [];
    this.#seen.set(channel, own);
    own.push({ frequency_Hz, voltage_V, thdn_percent });
  }

  /**
   * Percent. At most that of the place itself.
   *
   * @param more readings of the same channel that were not taken by this session
   */
  near(place: Seen, chain: ChannelChain, more: readonly Seen[] = []): number {
    const levelOf = ({ voltage_V }: Seen) => levelAtInput_dB(voltage_V / loadVoltsPerUnit(chain));
    const isNear = (seen: Seen) =>
      Math.abs(Math.log2(seen.frequency_Hz / place.frequency_Hz)) <= NEAR_OCTAVES &&
      Math.abs(levelOf(seen) - levelOf(place)) <= NEAR_dB;
    const seen = [...(this.#seen.get(chain.channel) ?? []), ...more].filter(isNear);
    return Math.min(place.thdn_percent, ...seen.map(({ thdn_percent }) => thdn_percent));
  }
}
