import type { SoundBlock } from '../bench/bench.js';
import { asTold, benchFault } from '../errors/error-table.js';

/** A bench handed out samples that are no numbers. */
export const CaptureNotFinite = benchFault('CAPTURE_NOT_FINITE', asTold);

/** A bench hands out the same samples again and again. */
export const CaptureFrozen = benchFault('CAPTURE_FROZEN', asTold);

/**
 * A buffer that is handed out again and again is looked for up to this length. No tone of a run repeats itself so soon: a
 * record is longer, and the number of its cycles has no factor in common with its length.
 */
const LONGEST_LAP_FRAMES = 16_384;
const LONGEST_LAP_s = 0.3;
/** So much must be the same, to the last bit, before it counts. */
const LASTING_FRAMES = 4096;
/** Samples all closer to each other than this may well repeat some by themselves: a weak tone in 16 bits without noise does. */
const LEAST_SPAN = 1e-2;

/**
 * Looks at what a bench hands out before anybody measures it: samples that are no numbers pass every limit, since
 * no comparison with them holds, and a capture that stands still shows a unit that is no longer there.
 */
export class CaptureWatch {
  readonly #laps: LapWatch[] = [];
  readonly #longest: number;

  constructor(rate_Hz: number) {
    this.#longest = Math.min(LONGEST_LAP_FRAMES, Math.floor(LONGEST_LAP_s * rate_Hz));
  }

  /** Forgets what has come in: another play begins. */
  restart(): void {
    this.#laps.length = 0;
  }

  /** @throws CaptureNotFinite, CaptureFrozen */
  look({ channels, currents = [] }: SoundBlock): void {
    channels.forEach((samples, i) => {
      requireFinite(samples, `channel ${i + 1}`);
      this.#laps[i] ??= new LapWatch(this.#longest);
      if (this.#laps[i].look(samples)) throw frozen(i + 1);
    });
    currents.forEach((samples, i) => {
      if (samples) requireFinite(samples, `current shunt of channel ${i + 1}`);
    });
  }
}

function requireFinite(samples: Float64Array, where: string): void {
  for (let i = 0; i < samples.length; i += 1) {
    const sample = samples[i]!;
    // Zero but for infinities and what is no number; many times as fast as to ask what it is.
    if (sample - sample !== 0)
      throw new CaptureNotFinite({
        where,
        what: `the bench delivered a sample that is ${sample}`,
        mend: 'Every sample must be a finite number: check the device or program that captures',
      });
  }
}

function frozen(channel: number): InstanceType<typeof CaptureFrozen> {
  return new CaptureFrozen({
    where: `channel ${channel}`,
    what: 'the capture is stuck: the same samples keep repeating',
    mend: 'Switch the unit off. Then reconnect the interface, or restart the program that captures, and check it before the next run',
  });
}

/** Finds out whether one channel repeats itself. */
class LapWatch {
  /** What has come in, up to `#end`: the longest lap at least, once there was so much. */
  #past: Float64Array;
  #end = 0;
  /** Length of the stretch that is repeated; 0: none. */
  #lap = 0;
  /** Frames since it was last looked for: that costs more than all else here. */
  #unsearched = 0;

  /** @param longest lap that is looked for, in frames */
  constructor(private readonly longest: number) {
    this.#past = new Float64Array(4 * longest);
  }

  look(samples: Float64Array): boolean {
    const from = this.#append(samples);
    this.#lap = isLively(samples) ? this.#lapFrom(from) : 0;
    return this.#lap > 0 && this.#repeatedBefore(from) + samples.length >= LASTING_FRAMES;
  }

  /** Gives the place of the first of them. */
  #append(samples: Float64Array): number {
    if (this.#end + samples.length > this.#past.length) {
      const kept = this.#past.subarray(Math.max(0, this.#end - this.longest - LASTING_FRAMES), this.#end);
      const room = Math.max(this.#past.length, kept.length + samples.length);
      const next = room > this.#past.length ? new Float64Array(room) : this.#past;
      next.set(kept);
      this.#past = next;
      this.#end = kept.length;
    }
    const from = this.#end;
    this.#past.set(samples, from);
    this.#end += samples.length;
    return from;
  }

  /** Frames after which everything from `from` on repeats what was before; 0: it does not. */
  #lapFrom(from: number): number {
    const most = Math.min(this.longest, from);
    if (this.#lap > 0 && this.#lap <= most && this.#repeats(from, this.#lap)) return this.#lap;
    this.#unsearched += this.#end - from;
    if (this.#unsearched < LASTING_FRAMES) return 0;
    this.#unsearched = 0;
    const before = this.#past.subarray(from - most, from);
    const first = this.#past[from]!;
    // The search that the language brings along is many times as fast as a loop.
    for (let at = before.lastIndexOf(first); at >= 0; at = at > 0 ? before.lastIndexOf(first, at - 1) : -1)
      if (this.#repeats(from, most - at)) return most - at;
    return 0;
  }

  /** How many frames before `from` are repeated already, as far as it matters. */
  #repeatedBefore(from: number): number {
    const past = this.#past;
    const least = Math.max(this.#lap, from - LASTING_FRAMES);
    let at = from;
    while (at > least && past[at - 1] === past[at - 1 - this.#lap]) at -= 1;
    return from - at;
  }

  #repeats(from: number, lap: number): boolean {
    const past = this.#past;
    for (let i = from; i < this.#end; i += 1) if (past[i] !== past[i - lap]) return false;
    return true;
  }
}

function isLively(samples: Float64Array): boolean {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = 0; i < samples.length; i += 1) {
    const sample = samples[i]!;
    if (sample < low) low = sample;
    if (sample > high) high = sample;
    if (high - low >= LEAST_SPAN) return true;
  }
  return false;
}
