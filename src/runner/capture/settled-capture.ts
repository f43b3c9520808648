import { setImmediate as yieldToOthers } from 'node:timers/promises';
import type { SoundBlock } from '../../bench/bench.js';
import type { Settling } from '../../measure/settled.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import type { TonePlayer } from './tone-player.js';

/** The samples of one point: one record per channel asked for, in that order. */
export interface SettledCapture {
  readonly channels: readonly Float64Array[];
  /** What the current shunts of these channels gave, null for a channel without one; absent when none was asked for. */
  readonly currents?: readonly (Float64Array | null)[];
  /** False when the output was still moving at the end of the waiting time. */
  readonly settled: boolean;
  /** How the halves of each channel's record compare; absent when nobody looked. */
  readonly settlings?: readonly Settling[];
  /** Halves that came before those of the record and were left out, since they differed; absent when nobody looked. */
  readonly leftOut?: number;
}

/** How do the two halves of a record compare? */
export type Compare = (earlier: Float64Array, later: Float64Array, tone: CoherentTone) => Settling;

/** Records of some channels, without a word on whether they have settled. */
export type CollectedRecords = Pick<SettledCapture, 'channels' | 'currents'>;

/** What is to be captured. */
export interface CaptureAim {
  readonly tone: CoherentTone;
  /** Source frame from which on the level stands. */
  readonly from: number;
  /** Indexes into a block's channels. */
  readonly channels: readonly number[];
  /** True: the current shunts of these channels too, where there are any. */
  readonly currents?: boolean;
}

/** Halves of a record that may pass before the runner takes what there is. */
const MOST_HALVES = 12;
/**
 * What moves as much as so many comparisons before, less a quarter, does not settle but sways, as a tone that beats with
 * the ripple of its supply does: waiting longer would not help.
 */
const SWAY_COMPARISONS = 3;
const SWAY_SHARE = 0.75;
/** A smaller share is the rounding of sums, of which more or less tells nothing. */
const ROUNDING = 1e-12;

/** Hears the first half of every record, and says whether something else will play once the record is over. */
export type FirstHalf = (halves: readonly Float64Array[]) => Promise<boolean>;

/**
 * Takes one record of every channel asked for, beginning at `from`, and goes on half a record at a time
 * until the halves of each channel agree, so that what is read has settled, or until something else plays. Lets
 * other work run between channels: a sound bench must be fed while they are compared.
 *
 * @param tick called after every half record, to show life and to notice an interruption
 */
export async function captureSettled(
  player: TonePlayer,
  asked: CaptureAim,
  compare: Compare,
  tick: () => Promise<void>,
  firstHalf: FirstHalf = async () => false,
): Promise<SettledCapture> {
  const { tone } = asked;
  const half = tone.frames / 2;
  const collector = new Collector(player, asked);
  const moved: Moved[] = [];
  let last = MOST_HALVES;
  for (let halves = 1; ; halves += 1) {
    await collector.collect(half, half);
    if (halves === 1) {
      const follows = await firstHalf(collector.channels.map((record) => record.subarray(half)));
      if (follows) last = 2;
    }
    await tick();
    if (halves >= 2) {
      const settlings: Settling[] = [];
      for (const record of collector.channels) {
        settlings.push(compare(record.subarray(0, half), record.subarray(half), tone));
        await yieldToOthers();
      }
      const settled = settlings.every((settling) => settling.settled);
      moved.push({
        level: Math.max(...settlings.map(({ level }) => level)),
        residue: Math.max(...settlings.map(({ residue }) => residue)),
      });
      if (settled || halves >= last || sways(moved))
        return { ...collector.records(), settled, settlings, leftOut: halves - 2 };
    }
    collector.moveUp(half);
  }
}

/** By how much the halves of one comparison differed, the channel that differed most. */
type Moved = Pick<Settling, 'level' | 'residue'>;

function movesAsMuch(now: number, before: number): boolean {
  return now > SWAY_SHARE * before || before < ROUNDING;
}

/** @param moved comparisons in order */
function sways(moved: readonly Moved[]): boolean {
  const [before, now] = [moved.at(-1 - SWAY_COMPARISONS), moved.at(-1)!];
  if (!before) return false;
  return movesAsMuch(now.level, before.level) && movesAsMuch(now.residue, before.residue);
}

/** Copies what comes in, from one source frame on, across block borders. */
export class Collector {
  readonly channels: readonly Float64Array[];
  private readonly currents: readonly Float64Array[];
  private hasCurrents: readonly boolean[] = [];
  private wanted: number;
  private block: SoundBlock = { start: 0, channels: [] };

  constructor(
    private readonly player: TonePlayer,
    readonly asked: CaptureAim,
  ) {
    const record = () => new Float64Array(asked.tone.frames);
    this.channels = asked.channels.map(record);
    this.currents = asked.currents ? asked.channels.map(record) : [];
    this.wanted = asked.from;
  }

  records(): CollectedRecords {
    const { channels, currents } = this;
    if (!this.hasCurrents.includes(true)) return { channels };
    return { channels, currents: currents.map((record, i) => (this.hasCurrents[i] ? record : null)) };
  }

  /** Makes room for another stretch at the end. */
  moveUp(frames: number): void {
    for (const record of [...this.channels, ...this.currents]) record.copyWithin(0, frames);
  }

  /** Fills `count` frames of every record from `offset` on. */
  async collect(offset: number, count: number): Promise<void> {
    let filled = 0;
    while (filled < count) {
      const length = this.block.channels[0]?.length ?? 0;
      const skip = this.wanted - this.block.start;
      if (skip >= length) {
        this.block = await this.player.next();
        continue;
      }
      const take = Math.min(length - skip, count - filled);
      this.copy(skip, take, offset + filled);
      filled += take;
      this.wanted += take;
    }
  }

  private copy(skip: number, take: number, to: number): void {
    const { channels, currents } = this.block;
    this.asked.channels.forEach((channel, i) => {
      this.channels[i]!.set(channels[channel]!.subarray(skip, skip + take), to);
    });
    if (!this.asked.currents) return;
    const found = this.asked.channels.map((channel) => currents?.[channel] ?? null);
    found.forEach((samples, i) => {
      if (samples) this.currents[i]!.set(samples.subarray(skip, skip + take), to);
    });
    this.hasCurrents = found.map((samples) => samples !== null);
  }
}
