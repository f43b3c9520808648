import type { Bench, Block, SignalSource } from '../../bench/bench.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { renderTone, type ToneChange, withChange } from '../../signal/tone-source.js';

/** Raised-cosine time of every change of level. */
const RAMP_s = 0.02;
/** Time after a ramp before a look is worth taking: filters and couplings that follow the ramp. */
const AFTER_RAMP_s = 0.03;
/** Seconds that every change of level takes by itself. */
export const CHANGE_s = RAMP_s + AFTER_RAMP_s;
/** A bench that captures what it was handed less than this ago makes nobody wait for a change of level. */
const PROMPT_s = 0.05;

/** A level or tone that is to follow the record that is being taken, without a pause. */
interface Following {
  readonly tone: CoherentTone;
  readonly peaks: readonly number[];
  /** First source frame at which it stands. */
  readonly from: number;
}

/** What plays at a block: digital peaks by bench channel, and whether a ramp is still under way. */
export interface Playing {
  readonly tone: CoherentTone | null;
  readonly peaks: readonly number[];
  readonly steady: boolean;
}

/** Looks at every block as it arrives; throws to end the run at once. */
export type Watch = (block: Block, playing: Playing) => void;

/**
 * Plays tones on a bench as the runner asks for them: keeps the schedule of level changes, knows how far
 * the bench has been fed, and shows every block to the watch before anybody else sees it.
 */
export class TonePlayer implements SignalSource {
  private schedule: readonly ToneChange[] = [];
  private rendered = 0;
  /** Source frame up to which blocks have come in. */
  private captured = 0;
  private following: Following | null = null;
  private stream: AsyncGenerator<Block, void, void> | null = null;

  constructor(
    private readonly bench: Bench,
    private readonly watch: Watch,
  ) {}

  get horizonFrames(): number {
    const tone = this.schedule.at(-1)?.tone;
    return tone ? 2 * tone.frames + this.framesOf(RAMP_s + AFTER_RAMP_s) : this.framesOf(0.1);
  }

  render(start: number, frames: number): readonly Float64Array[] {
    this.rendered = Math.max(this.rendered, start + frames);
    return renderTone(this.schedule, this.bench.channels, start, frames);
  }

  /**
   * Moves every channel to its new peak, through silence when the frequency changes. What `follow` has sent on its way
   * already is not sent again.
   *
   * @returns the first source frame at which the new level stands
   */
  set(tone: CoherentTone, peaks: readonly number[]): number {
    const { following } = this;
    this.following = null;
    if (following?.tone === tone && peaks.every((peak, i) => peak === following.peaks[i]))
      return following.from;
    return this.change(Math.max(this.rendered, this.schedule.at(-1)?.at ?? 0), tone, peaks);
  }

  /**
   * Whether a level or tone may still begin at source frame `at`, and time is gained by saying so now: on a bench that is fed long
   * before it captures, whoever waits for the last frame of a record before he changes the level loses that time.
   */
  canFollow(at: number): boolean {
    const waits = this.rendered - this.captured > this.framesOf(PROMPT_s);
    return waits && this.schedule.length > 0 && this.rendered <= at;
  }

  /** Sends a new level or tone on its way, which begins at source frame `at`. Only where `canFollow` says so. */
  follow(at: number, tone: CoherentTone, peaks: readonly number[]): void {
    this.following = { tone, peaks, from: this.change(at, tone, peaks) };
  }

  /** Waits for the next block that came in. The first call starts the bench. */
  async next(): Promise<Block> {
    this.stream ??= this.bench.play(this);
    const { value } = await this.stream.next();
    if (!value) throw new Error('a bench ended its stream of blocks although it may not');
    this.captured = value.start + value.channels[0]!.length;
    this.watch(value, this.playingAt(value));
    return value;
  }

  /** Ramps to silence and lets go of the stream; the next tone starts a new one. */
  async stop(): Promise<void> {
    const stream = this.stream;
    this.stream = null;
    try {
      // A bench fades what would have come next, so it must still be there to be asked for.
      await stream?.return();
    } finally {
      this.schedule = [];
      this.rendered = 0;
      this.captured = 0;
      this.following = null;
    }
  }

  private playingAt(block: Block): Playing {
    const end = block.start + block.channels[0]!.length;
    const change = this.schedule.findLast((candidate) => candidate.at < end);
    if (!change) return { tone: null, peaks: [], steady: false };
    const stands = change.at + change.rampFrames + this.framesOf(AFTER_RAMP_s) <= block.start;
    return { tone: change.tone, peaks: change.peaks, steady: stands };
  }

  /** Schedules a change that begins at a frame; returns the first one at which the new level stands. */
  private change(begin: number, tone: CoherentTone, peaks: readonly number[]): number {
    const rampFrames = this.framesOf(RAMP_s);
    const last = this.schedule.at(-1);
    let at = begin;
    if (last && last.tone !== tone) {
      if (last.peaks.some((peak) => peak !== 0)) {
        const silence = last.peaks.map(() => 0);
        this.schedule = withChange(this.schedule, { at, tone: last.tone, peaks: silence, rampFrames });
      }
      at = Math.max(this.rendered, this.schedule.at(-1)!.at + rampFrames);
    }
    this.schedule = withChange(this.schedule, { at, tone, peaks, rampFrames });
    return at + rampFrames + this.framesOf(AFTER_RAMP_s);
  }

  private framesOf(seconds: number): number {
    return Math.ceil(seconds * this.bench.rate_Hz);
  }
}
