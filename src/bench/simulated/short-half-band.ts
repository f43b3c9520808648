/**
 * The rate doubler and halver for kernels of four pairs, which run at the highest rates. All samples in view
 * stay in registers, so that each is loaded once.
 */
export const SHORT_KERNEL = 4;

/** As `RateDoubler`. Delay: 4 samples of the lower rate. */
export class ShortDoubler {
  readonly delay = 4;
  readonly past = 7;
  readonly window: Float64Array;
  private readonly kernel: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.kernel = kernel.map((c) => 2 * c);
    this.window = new Float64Array(this.past + mostFrames);
  }

  process(to: Float64Array, at: number, frames: number): void {
    const { kernel, window } = this;
    const a = kernel[0]!;
    const b = kernel[1]!;
    const c = kernel[2]!;
    const d = kernel[3]!;
    let s0 = window[0]!;
    let s1 = window[1]!;
    let s2 = window[2]!;
    let s3 = window[3]!;
    let s4 = window[4]!;
    let s5 = window[5]!;
    let s6 = window[6]!;
    const start = at | 0;
    for (let i = 0; i < frames; i += 1) {
      const s7 = window[7 + i]!;
      const out = start + 2 * i;
      to[out] = s3;
      to[out + 1] = a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
      s0 = s1;
      s1 = s2;
      s2 = s3;
      s3 = s4;
      s4 = s5;
      s5 = s6;
      s6 = s7;
    }
    window.copyWithin(0, frames, frames + this.past);
  }
}

/** As `RateHalver`. Delay: 3 samples of the lower rate. */
export class ShortHalver {
  readonly delay = 3;
  readonly past = 14;
  readonly window: Float64Array;
  private readonly kernel: Float64Array;

  constructor(kernel: Float64Array, mostFrames: number) {
    this.kernel = kernel;
    this.window = new Float64Array(this.past + 2 * mostFrames);
  }

  process(to: Float64Array, at: number, frames: number): void {
    const { kernel, window } = this;
    const a = kernel[0]!;
    const b = kernel[1]!;
    const c = kernel[2]!;
    const d = kernel[3]!;
    let s0 = window[1]!;
    let s1 = window[3]!;
    let s2 = window[5]!;
    let s3 = window[7]!;
    let s4 = window[9]!;
    let s5 = window[11]!;
    let s6 = window[13]!;
    const start = at | 0;
    for (let i = 0; i < frames; i += 1) {
      const s7 = window[15 + 2 * i]!;
      to[start + i] =
        0.5 * window[8 + 2 * i]! + a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
      s0 = s1;
      s1 = s2;
      s2 = s3;
      s3 = s4;
      s4 = s5;
      s5 = s6;
      s6 = s7;
    }
    window.copyWithin(0, 2 * frames, 2 * frames + this.past);
  }
}
