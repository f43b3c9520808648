import type { ChannelChain } from '../../calibration/chain.js';
import type { Settling } from '../../measure/settled.js';
import type { Point, Reading } from '../../record/run-record.js';
import { KnownGains } from '../../safety/known-gains.js';
import { outputOf, peakFor } from '../capture/drive.js';
import { AsBefore } from './as-before.js';
import { LowestReadings } from './lowest-readings.js';
import { SweptBands } from './swept.js';

/** A channel that gives so little beside the tone neither clips nor swallows any of it. */
const CLEAN_PERCENT = 1;

const placeOf = ({ point, channel }: Pick<Reading, 'point' | 'channel'>): string => `${point}/${channel}`;

/** What the unit has given so far, as far as later readings are held against it. */
export class UnitMemory {
  /** Since somebody last changed something. */
  readonly knownGains = new KnownGains();
  /** What bounds the residue of a bench that states none. */
  readonly lowestReadings = new LowestReadings();
  readonly sweptBands = new SweptBands();
  readonly #asBefore = new AsBefore();
  readonly #channels: readonly ChannelChain[];
  /** How the records behind the readings of the present step had settled. */
  #settlings: Map<string, Settling>;
  #step: string;

  /** @param settlings by `point/channel`, of the readings that an earlier session took in `step` */
  constructor(channels: readonly ChannelChain[], step = '', settlings: Iterable<[string, Settling]> = []) {
    this.#channels = channels;
    this.#step = step;
    this.#settlings = new Map(settlings);
  }

  /** Tells whoever compares with before that somebody has changed something. */
  forget(): void {
    this.knownGains.forget();
    this.#asBefore.forget();
  }

  /** A reading as just taken, flagged when the same setting gave something else before; from now on it is known itself. */
  compared(point: Point, reading: Reading): Reading {
    const chain = this.#channels.find(({ channel }) => channel === reading.channel)!;
    const peak = peakFor(chain, outputOf(reading));
    const { channel, frequency_Hz, voltage_V, thdn_percent } = reading;
    const clean = thdn_percent < CLEAN_PERCENT;
    if (!reading.flags.includes('no-tone'))
      this.knownGains.learn({ channel, frequency_Hz, peak, gain: voltage_V / peak, clean });
    return this.#asBefore.judged(point, reading);
  }

  /** Keeps for the length of a step how a reading's record had settled: what its findings need for their uncertainty. */
  rememberSettling(reading: Reading, settling: Settling | null): void {
    if (this.#step !== reading.step) this.#settlings = new Map();
    this.#step = reading.step;
    if (settling) this.#settlings.set(placeOf(reading), settling);
  }

  /** Null for a reading of another step, or one of which nobody knows. */
  settlingOf(reading: Reading): Settling | null {
    return this.#settlings.get(placeOf(reading)) ?? null;
  }
}
