/** First-order high-pass: a coupling capacitor. Bilinear, with the corner where it was asked for. */
export class Coupling {
  private readonly rate_Hz: number;
  private readonly t: number;
  private readonly feedback: number;
  private readonly step: number;
  private input = 0;
  private output = 0;

  constructor(corner_Hz: number, rate_Hz: number) {
    const t = Math.tan((Math.PI * corner_Hz) / rate_Hz);
    this.rate_Hz = rate_Hz;
    this.t = t;
    this.feedback = (1 - t) / (1 + t);
    this.step = 1 / (1 + t);
  }

  process(samples: Float64Array, frames: number): void {
    const { feedback, step } = this;
    let { input, output } = this;
    for (let i = 0; i < frames; i += 1) {
      const x = samples[i]!;
      output = feedback * output + step * (x - input);
      input = x;
      samples[i] = output;
    }
    this.input = input;
    this.output = output;
  }

  /** Magnitude at a frequency, exactly what `process` does. */
  gain(frequency_Hz: number): number {
    return 1 / Math.hypot(1, this.t / Math.tan((Math.PI * frequency_Hz) / this.rate_Hz));
  }
}
