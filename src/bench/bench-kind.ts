import type { z } from 'zod';
import type { ChannelChain } from '../calibration/chain.js';
import type { Bench } from './bench.js';
import type { BenchReading } from './bench-reading.js';
import type { BenchClock, BenchInterface, BenchKindName, BenchSetup } from './bench-setup.js';
import type { Hardware } from './hardware-lock.js';

/** What every kind of bench has under `interface` in the bench file. */
export interface CommonKeys<Name extends BenchKindName> {
  readonly kind: Name;
  readonly rate: number;
  /** Limits within which the interface's clock is right, parts per million. */
  readonly clock?: number | undefined;
}

/**
 * Everything that the program wants to know of a kind of bench before it has one. Each must be answered: a kind that left
 * out whether it energises would be played without a checklist.
 *
 * @typeParam Keys what stands under `interface` in the bench file
 */
export interface BenchKind<Name extends BenchKindName, Keys extends CommonKeys<Name> = CommonKeys<Name>> {
  readonly schema: z.ZodType<Keys>;
  /** What it is, for a reader of a report. */
  readonly words: string;
  /** Whether what it plays into is computed, so that no real unit is measured. */
  readonly computed: boolean;
  /** Whether such a bench can put real power on real terminals. */
  energises(keys: Keys): boolean;
  /** Whether such a bench only stands in for a real one, by the word of its file. */
  practice(keys: Keys): boolean;
  clock(keys: Keys): BenchClock;
  /** The interface by its keys; what is wrong is noted in `reading`. Null when none can be made of them. */
  read(
    reading: BenchReading,
    keys: Keys,
    channels: readonly ChannelChain[],
  ): Extract<BenchInterface, { kind: Name }> | null;
  /** Makes sure that the files which the bench file names are there and fit it. @throws InputError */
  checkFiles(setup: BenchSetup): void;
  /**
   * Makes sure that its devices are there, before a person answers a checklist for nothing. They may still vanish before
   * the first tone; opening them checks again.
   *
   * @throws BenchFault
   */
  checkDevices(setup: BenchSetup): Promise<void>;
  /** What only one run at a time may hold: nothing where it drives nothing real. */
  hardware(setup: BenchSetup): readonly Hardware[];
  /** The bench itself, not opened yet. Only here is what it consists of loaded. */
  make(setup: BenchSetup): Promise<Bench>;
}
