import type { ChannelChain } from '../calibration/chain.js';
import type { Floor } from '../calibration/floor.js';

/** What a sequence must know of a bench to be laid out for it. Every bench file gives it. */
export interface BenchFacts {
  readonly name: string;
  readonly rate_Hz: number;
  readonly channels: readonly ChannelChain[];
  readonly assumedGain_dB: number;
  readonly floor: Floor | null;
}
