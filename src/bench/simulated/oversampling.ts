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

/** Raises a wave from the bench's rate to the rate of the non-linear parts. */
export class UpSampler {
  /** Delay in samples of the higher rate. */
  readonly delay: number;
  private readonly stages: readonly (RateDoubler | ShortDoubler)[];
  private readonly between: readonly Float64Array[];

  constructor(rate_Hz: number, mostFrames: number) {
    const count = doublings(rate_Hz);
    this.stages = Array.from({ length: count }, (_, j) => {
      const taps = kernel(j + 1, rate_Hz, UP_REJECTION_DB);
      return taps.length === SHORT_KERNEL
        ? new ShortDoubler(taps)
        : new RateDoubler(taps, mostFrames * 2 ** j);
    });
    this.between = this.stages.map((_, j) => new Float64Array(mostFrames * 2 ** j));
    this.delay = this.stages.reduce((sum, stage, j) => sum + stage.delay * 2 ** (count - j), 0);
  }

  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { stages, between } = this;
    const last = stages.length - 1;
    for (let j = 0; j <= last; j += 1) {
      const source = j === 0 ? from : between[j]!;
      stages[j]!.process(source, j === last ? to : between[j + 1]!, frames * 2 ** j);
    }
  }
}

/** Brings a wave back down to the bench's rate. */
export class DownSampler {
  /** Delay in samples of the higher rate. */
  readonly delay: number;
  private readonly stages: readonly (RateHalver | ShortHalver)[];

  constructor(rate_Hz: number, mostFrames: number) {
    const count = doublings(rate_Hz);
    // From the highest rate down.
    this.stages = Array.from({ length: count }, (_, j) => {
      const taps = kernel(count - j, rate_Hz, DOWN_REJECTION_DB);
      const most = mostFrames * 2 ** (count - 1 - j);
      return taps.length === SHORT_KERNEL ? new ShortHalver(taps) : new RateHalver(taps, most);
    });
    this.delay = this.stages.reduce((sum, stage, j) => sum + stage.delay * 2 ** (j + 1), 0);
  }

  /** Reads `frames` times the ratio from `from` and leaves `frames` samples at the front of `to`, half as long or more. */
  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { stages } = this;
    const last = stages.length - 1;
    for (let j = 0; j <= last; j += 1) {
      stages[j]!.process(j === 0 ? from : to, to, frames * 2 ** (last - j));
    }
  }
}
