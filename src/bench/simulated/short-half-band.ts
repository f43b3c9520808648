/**
 * The rate doubler and halver for kernels of four pairs, which run at the highest rates. All samples in view
 * stay in registers, so that each is loaded once.
 */
export const SHORT_KERNEL = 4;

/** One by one, since an array made only to be copied from would cost as much as a dozen samples. */
function keep(
  past: Float64Array,
  s0: number,
  s1: number,
  s2: number,
  s3: number,
  s4: number,
  s5: number,
  s6: number,
): void {
  past[0] = s0;
  past[1] = s1;
  past[2] = s2;
  past[3] = s3;
  past[4] = s4;
  past[5] = s5;
  past[6] = s6;
}

/** As `RateDoubler`. Delay: 4 samples of the lower rate. */
export class ShortDoubler {
  readonly delay = 4;
  private readonly kernel: Float64Array;
  private readonly past = new Float64Array(7);

  constructor(kernel: Float64Array) {
    this.kernel = kernel.map((c) => 2 * c);
  }

  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { kernel, past } = this;
    const a = kernel[0]!;
    const b = kernel[1]!;
    const c = kernel[2]!;
    const d = kernel[3]!;
    let s0 = past[0]!;
    let s1 = past[1]!;
    let s2 = past[2]!;
    let s3 = past[3]!;
    let s4 = past[4]!;
    let s5 = past[5]!;
    let s6 = past[6]!;
    for (let i = 0; i < frames; i += 1) {
      const s7 = from[i]!;
      to[2 * i] = s3;
      to[2 * i + 1] = a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
      s0 = s1;
      s1 = s2;
      s2 = s3;
      s3 = s4;
      s4 = s5;
      s5 = s6;
      s6 = s7;
    }
    keep(past, s0, s1, s2, s3, s4, s5, s6);
  }
}

/** As `RateHalver`. Delay: 3 samples of the lower rate. */
export class ShortHalver {
  readonly delay = 3;
  private readonly kernel: Float64Array;
  private readonly past = new Float64Array(7);
  private readonly even = new Float64Array(3);

  constructor(kernel: Float64Array) {
    this.kernel = kernel;
  }

  process(from: Float64Array, to: Float64Array, frames: number): void {
    const { kernel, past, even } = this;
    const a = kernel[0]!;
    const b = kernel[1]!;
    const c = kernel[2]!;
    const d = kernel[3]!;
    let s0 = past[0]!;
    let s1 = past[1]!;
    let s2 = past[2]!;
    let s3 = past[3]!;
    let s4 = past[4]!;
    let s5 = past[5]!;
    let s6 = past[6]!;
    let e0 = even[0]!;
    let e1 = even[1]!;
    let e2 = even[2]!;
    for (let i = 0; i < frames; i += 1) {
      const e3 = from[2 * i]!;
      const s7 = from[2 * i + 1]!;
      to[i] = 0.5 * e0 + a * (s3 + s4) + b * (s2 + s5) + c * (s1 + s6) + d * (s0 + s7);
      e0 = e1;
      e1 = e2;
      e2 = e3;
      s0 = s1;
      s1 = s2;
      s2 = s3;
      s3 = s4;
      s4 = s5;
      s5 = s6;
      s6 = s7;
    }
    keep(past, s0, s1, s2, s3, s4, s5, s6);
    even[0] = e0;
    even[1] = e1;
    even[2] = e2;
  }
}
