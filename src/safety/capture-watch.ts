import type { Block } from '../bench/bench.js';
import { BenchFault } from '../errors/ohmest-error.js';

/** A bench handed out samples that are no numbers. */
export class CaptureNotFinite extends BenchFault {
  readonly code = 'CAPTURE_NOT_FINITE';
}

/** A bench hands out the same samples again and again. */
export class CaptureFrozen extends BenchFault {
  readonly code = 'CAPTURE_FROZEN';
}

/**
 * A buffer that is handed out again and again is looked for up to this length. No tone of a run repeats itself so soon: a
 * record is longer, and the number of its cycles has no factor in common with its length.
 */
const LONGEST_LAP_FRAMES = 16_384;
const LONGEST_LAP_s = 0.3;
/** So much must be the same, to the last bit, before it counts. */
const LASTING_FRAMES = 4096;
/** Samples all closer to each other than this are silence, of which a converter of few bits may well repeat some. */
const LEAST_SPAN = 1e-3;

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
  look({ channels, currents = [] }: Block): void {
    channels.forEach((samples, i) => {
      requireFinite(samples, `channel ${i + 1}`);
      this.#laps[i] ??= new LapWatch(this.#longest);
      if (this.#laps[i].look(samples)) throw frozen(i + 1);
    });
    currents.forEach((samples, i) => {
      if (samples) requireFinite(samples, `current tap of channel ${i + 1}`);
    });
  }
}

function requireFinite(samples: Float64Array, where: string): void {
  for (const sample of samples)
    if (!Number.isFinite(sample))
      throw new CaptureNotFinite({
        where,
        what: `the bench handed out a sample that is ${sample}`,
        mend: 'Every sample must be a finite number: look after what captures',
      });
}

function frozen(channel: number): CaptureFrozen {
  return new CaptureFrozen({
    where: `channel ${channel}`,
    what: 'the capture stands still: the same samples come in again and again',
    mend: 'Unplug the interface or restart what captures, and check it before the next run',
  });
}

/** Finds out whether one channel repeats itself. */
class LapWatch {
  #past = new Float64Array(0);
  /** Length of the stretch that is repeated, and for how long it has been; 0: none. */
  #lap = 0;
  #repeated = 0;

  /** @param longest lap that is looked for, in frames */
  constructor(private readonly longest: number) {}

  look(samples: Float64Array): boolean {
    const all = new Float64Array(this.#past.length + samples.length);
    all.set(this.#past);
    all.set(samples, this.#past.length);
    const from = this.#past.length;
    this.#past = all.slice(Math.max(0, all.length - this.longest));
    const lap = isLively(samples) ? this.#lapOf(all, from) : 0;
    this.#repeated = lap > 0 ? this.#repeated + samples.length : 0;
    this.#lap = lap;
    return this.#repeated >= LASTING_FRAMES;
  }

  /** Frames after which everything from `from` on repeats what was before; 0: it does not. */
  #lapOf(all: Float64Array, from: number): number {
    if (this.#lap > 0 && repeats(all, from, this.#lap)) return this.#lap;
    this.#repeated = 0;
    for (let lap = 1; lap <= from; lap += 1)
      if (all[from - lap] === all[from] && repeats(all, from, lap)) return lap;
    return 0;
  }
}

function repeats(all: Float64Array, from: number, lap: number): boolean {
  if (lap > from) return false;
  for (let i = from; i < all.length; i += 1) if (all[i] !== all[i - lap]) return false;
  return true;
}

function isLively(samples: Float64Array): boolean {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const sample of samples) {
    if (sample < low) low = sample;
    if (sample > high) high = sample;
  }
  return high - low >= LEAST_SPAN;
}
