import type { Bench, SignalSource, SoundBlock } from '../../bench/bench.js';
import { gateOf, RAMP_s, rampFramesOf } from '../../signal/envelope.js';
import { type Change, type Playing, renderSchedule, withChange } from '../../signal/schedule.js';
import { type Stimulus, sameStimulus } from '../../signal/stimulus.js';

/** Time after a ramp before a capture is worth taking: filters and couplings that follow the ramp. */
const AFTER_RAMP_s = 0.03;
/** Seconds that every change of a steady level takes by itself. */
export const CHANGE_s = RAMP_s + AFTER_RAMP_s;
/** What a bench that works in takes is asked for while nothing is scheduled. */
const NOTHING_YET_s = 0.1;
/** A bench that captures what it was handed less than this ago makes nobody wait for a change of level. */
const PROMPT_s = 0.05;

/** A level or stimulus that is to follow the record that is being taken, without a pause. */
interface Following {
  readonly stimulus: Stimulus;
  readonly peaks: readonly number[];
  /** First source frame at which it stands. */
  readonly from: number;
}

/** Looks at every block as it arrives; throws to end the run at once. */
export type Watch = (block: SoundBlock, playing: Playing) => void;

/**
 * Plays tones on a bench as the runner asks for them: keeps the schedule of level changes, knows how far
 * the bench has been fed, and shows every block to the watch before anybody else sees it.
 */
export class TonePlayer implements SignalSource {
  private schedule: readonly Change[] = [];
  private rendered = 0;
  /** Source frame up to which blocks have come in. */
  private captured = 0;
  private following: Following | null = null;
  private stream: AsyncGenerator<SoundBlock, void, void> | null = null;

  constructor(
    private readonly bench: Bench,
    private readonly watch: Watch,
  ) {}

  get horizonFrames(): number {
    const last = this.schedule.at(-1);
    if (!last) return this.framesOf(NOTHING_YET_s);
    return 2 * last.stimulus.frames + last.rampFrames + this.framesOf(AFTER_RAMP_s);
  }

  render(start: number, frames: number): readonly Float64Array[] {
    this.rendered = Math.max(this.rendered, start + frames);
    return renderSchedule(this.schedule, this.bench.channels, start, frames);
  }

  /**
   * Moves every channel to its new peak, through silence when the frequency changes. What `follow` has sent on its way
   * already is not sent again.
   *
   * @returns the first source frame at which the new level stands
   */
  set(stimulus: Stimulus, peaks: readonly number[]): number {
    const { following } = this;
    this.following = null;
    const sent = following !== null && sameStimulus(following.stimulus, stimulus);
    if (sent && peaks.every((peak, i) => peak === following.peaks[i])) return following.from;
    return this.change(Math.max(this.rendered, this.schedule.at(-1)?.at ?? 0), stimulus, peaks);
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
  follow(at: number, stimulus: Stimulus, peaks: readonly number[]): void {
    this.following = { stimulus, peaks, from: this.change(at, stimulus, peaks) };
  }

  /** Waits for the next block that came in. The first call starts the bench. */
  async next(): Promise<SoundBlock> {
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

  private playingAt(block: SoundBlock): Playing {
    const end = block.start + block.channels[0]!.length;
    const change = this.schedule.findLast((candidate) => candidate.at < end);
    if (!change) return { stimulus: null, peaks: [], steady: false };
    const stands = change.at + change.rampFrames + this.framesOf(AFTER_RAMP_s) <= block.start;
    return { stimulus: change.stimulus, peaks: change.peaks, steady: stands };
  }

  /**
   * Schedules a change that begins at a frame, and the end of a stimulus that has one; gives the first frame at which the new
   * level stands, of a burst that at which the next one begins.
   */
  private change(begin: number, stimulus: Stimulus, peaks: readonly number[]): number {
    const last = this.schedule.at(-1);
    let at = begin;
    if (last && !sameStimulus(last.stimulus, stimulus)) {
      if (last.peaks.some((peak) => peak !== 0)) at = this.silence(at, last.stimulus, last.peaks);
      at = Math.max(this.rendered, at, this.schedule.at(-1)!.at + this.schedule.at(-1)!.rampFrames);
    }
    const { envelope, rate_Hz, duration_s } = stimulus;
    const rampFrames = rampFramesOf(envelope, rate_Hz);
    this.schedule = withChange(this.schedule, { at, stimulus, peaks, rampFrames });
    if (duration_s !== null)
      this.silence(at + Math.max(rampFrames, this.framesOf(duration_s) - rampFrames), stimulus, peaks);
    const stands = at + rampFrames + this.framesOf(AFTER_RAMP_s);
    const gate = gateOf(envelope, rate_Hz);
    return gate ? gate.period * Math.ceil(stands / gate.period) : stands;
  }

  /** Schedules the end of what plays; gives the first silent frame. */
  private silence(at: number, stimulus: Stimulus, peaks: readonly number[]): number {
    const rampFrames = rampFramesOf(stimulus.envelope, stimulus.rate_Hz);
    const nothing = peaks.map(() => 0);
    this.schedule = withChange(this.schedule, { at, stimulus, peaks: nothing, rampFrames });
    return at + rampFrames;
  }

  private framesOf(seconds: number): number {
    return Math.ceil(seconds * this.bench.rate_Hz);
  }
}
