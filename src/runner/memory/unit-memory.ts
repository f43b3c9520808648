import { type ChannelChain, loadVoltsPerUnit } from '../../calibration/chain.js';
import type { Settling } from '../../measure/settled.js';
import type { Point, Reading } from '../../record/run-record.js';
import { KnownGains } from '../../safety/known-gains.js';
import { outputOf, peakFor } from '../capture/drive.js';
import { levelAtInput_dB } from '../capture/reading.js';
import { AsBefore } from './as-before.js';
import { SweptBands } from './swept.js';

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
  /** How the records behind the readings of the present step had settled. */
  #settlings: Map<string, Settling>;

  /** @param settlings by `point/channel`, of the readings that an earlier session took in `step` */
  constructor(
    private readonly channels: readonly ChannelChain[],
    private step = '',
    settlings: Iterable<[string, Settling]> = [],
  ) {
    this.#settlings = new Map(settlings);
  }

  /** Tells whoever compares with before that somebody has changed something. */
  forget(): void {
    this.knownGains.forget();
    this.#asBefore.forget();
  }

  /** A reading as just taken, flagged when the same setting gave something else before; from now on it is known itself. */
  compared(point: Point, reading: Reading): Reading {
    const chain = this.channels.find(({ channel }) => channel === reading.channel)!;
    const peak = peakFor(chain, outputOf(reading));
    const { channel, frequency_Hz, voltage_V, thdn_percent } = reading;
    const clean = thdn_percent < CLEAN_PERCENT;
    if (!reading.flags.includes('no-tone'))
      this.knownGains.learn({ channel, frequency_Hz, peak, gain: voltage_V / peak, clean });
    return this.#asBefore.judged(point, reading);
  }

  /** Keeps for the length of a step how a reading's record had settled: what its findings need for their uncertainty. */
  rememberSettling(reading: Reading, settling: Settling | null): void {
    if (this.step !== reading.step) this.#settlings = new Map();
    this.step = reading.step;
    if (settling) this.#settlings.set(placeOf(reading), settling);
  }

  /** Null for a reading of another step, or one of which nobody knows. */
  settlingOf(reading: Reading): Settling | null {
    return this.#settlings.get(placeOf(reading)) ?? null;
  }
}
