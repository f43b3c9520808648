import { flatHalfBand, kaiserHalfBand, RateDoubler, RateHalver } from './half-band.js';
import { SHORT_KERNEL, ShortDoubler, ShortHalver } from './short-half-band.js';

/** How deep images of the wave lie on the way up, and what of the distortion would fold on the way down. */
const UP_REJECTION_DB = 100;
const DOWN_REJECTION_DB = 90;

/** Doublings from the bench's rate to that of the non-linear parts, so that this runs at 384 kHz or more. */
export function doublings(rate_Hz: number): number {
  if (rate_Hz < 48_000) return 4;
  return rate_Hz <= 100_000 ? 3 : 2;
}

/**
 * Kernel of stage `stage` (1 is next to the bench's rate). The pass band reaches 0.42 of the bench's rate,
 * and 20.1 kHz at 44.1 kHz. High above it the signal fills little of the band and flat kernels are shortest.
 */
function kernel(stage: number, rate_Hz: number, rejection_dB: number): Float64Array {
  const top = Math.max(0.42, Math.min(20_100 / rate_Hz, 0.46));
  if (stage >= 3) return flatHalfBand(SHORT_KERNEL);
  return kaiserHalfBand(top / 2 ** stage, rejection_dB);
}

/** One step up or down. */
interface Stage {
  readonly delay: number;
  readonly window: Float64Array;
  readonly past: number;
  process(to: Float64Array, at: number, frames: number): void;
}

/** Stages one behind the other. */
class Cascade {
  /** Where the input is to be written, from `past` on. */
  readonly input: Float64Array;
  readonly past: number;
  /** Delay in samples of the higher rate. */
  readonly delay: number;

  /** @param doublingsOf doublings by which each stage's lower rate lies below the higher rate */
  constructor(
    protected readonly stages: readonly Stage[],
    doublingsOf: (stage: number) => number,
  ) {
    this.input = stages[0]!.window;
    this.past = stages[0]!.past;
    this.delay = stages.reduce((sum, stage, j) => sum + stage.delay * (1 << doublingsOf(j)), 0);
  }
}

/** Raises a wave from the bench's rate to the rate of the non-linear parts. */
export class UpSampler extends Cascade {
  constructor(rate_Hz: number, mostFrames: number) {
    const count = doublings(rate_Hz);
    const stages = Array.from({ length: count }, (_, j) => {
      const taps = kernel(j + 1, rate_Hz, UP_REJECTION_DB);
      const Doubler = taps.length === SHORT_KERNEL ? ShortDoubler : RateDoubler;
      return new Doubler(taps, mostFrames << j);
    });
    super(stages, (j) => count - j);
  }

  /** Takes `frames` samples from `input` and writes the ratio times as many into `to`, from `at` on. */
  process(to: Float64Array, at: number, frames: number): void {
    climb(this.stages, to, at, (j) => frames << j);
  }
}

/** Brings a wave back down to the bench's rate. */
export class DownSampler extends Cascade {
  constructor(rate_Hz: number, mostFrames: number) {
    const count = doublings(rate_Hz);
    // From the highest rate down.
    const stages = Array.from({ length: count }, (_, j) => {
      const taps = kernel(count - j, rate_Hz, DOWN_REJECTION_DB);
      const Halver = taps.length === SHORT_KERNEL ? ShortHalver : RateHalver;
      return new Halver(taps, mostFrames << (count - 1 - j));
    });
    super(stages, (j) => j + 1);
  }

  /** Takes `frames` times the ratio from `input` and writes `frames` samples to the front of `to`. */
  process(to: Float64Array, frames: number): void {
    const { stages } = this;
    climb(stages, to, 0, (j) => frames << (stages.length - 1 - j));
  }
}

/** Runs each stage into the window of the next, and the last into `to`. */
function climb(stages: readonly Stage[], to: Float64Array, at: number, framesOf: (stage: number) => number) {
  const last = stages.length - 1;
  for (let j = 0; j < last; j += 1) {
    const next = stages[j + 1]!;
    stages[j]!.process(next.window, next.past, framesOf(j));
  }
  stages[last]!.process(to, at, framesOf(last));
}
