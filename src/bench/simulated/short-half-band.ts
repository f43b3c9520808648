import { GROUP } from './half-band.js';

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
    for (let i = 0; i < frames; i += GROUP) {
      const s7 = window[7 + i]!;
      const s8 = window[8 + i]!;
      const s9 = window[9 + i]!;
      const s10 = window[10 + i]!;
      const out = start + 2 * i;
      to[out] = s3;
      to[out + 1] = a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
      to[out + 2] = s4;
      to[out + 3] = a * (s4 + s5) + b * (s3 + s6) + c * (s2 + s7) + d * (s1 + s8);
      to[out + 4] = s5;
      to[out + 5] = a * (s5 + s6) + b * (s4 + s7) + c * (s3 + s8) + d * (s2 + s9);
      to[out + 6] = s6;
      to[out + 7] = a * (s6 + s7) + b * (s5 + s8) + c * (s4 + s9) + d * (s3 + s10);
      s0 = s4;
      s1 = s5;
      s2 = s6;
      s3 = s7;
      s4 = s8;
      s5 = s9;
      s6 = s10;
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
    for (let i = 0; i < frames; i += GROUP) {
      const even = 8 + 2 * i;
      const e0 = 0.5 * window[even]!;
      const e1 = 0.5 * window[even + 2]!;
      const e2 = 0.5 * window[even + 4]!;
      const e3 = 0.5 * window[even + 6]!;
      const s7 = window[even + 7]!;
      const s8 = window[even + 9]!;
      const s9 = window[even + 11]!;
      const s10 = window[even + 13]!;
      const out = start + i;
      to[out] = e0 + a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
      to[out + 1] = e1 + a * (s4 + s5) + b * (s3 + s6) + c * (s2 + s7) + d * (s1 + s8);
      to[out + 2] = e2 + a * (s5 + s6) + b * (s4 + s7) + c * (s3 + s8) + d * (s2 + s9);
      to[out + 3] = e3 + a * (s6 + s7) + b * (s5 + s8) + c * (s4 + s9) + d * (s3 + s10);
      s0 = s4;
      s1 = s5;
      s2 = s6;
      s3 = s7;
      s4 = s8;
      s5 = s9;
      s6 = s10;
    }
    window.copyWithin(0, 2 * frames, 2 * frames + this.past);
  }
}
