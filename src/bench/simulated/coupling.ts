/** First-order high-pass: a coupling capacitor. Bilinear, with the corner where it was asked for. */
export class Coupling {
  private readonly feedback: number;
  private readonly gain: number;
  private input = 0;
  private output = 0;

  constructor(corner_Hz: number, rate_Hz: number) {
    const t = Math.tan((Math.PI * corner_Hz) / rate_Hz);
    this.feedback = (1 - t) / (1 + t);
    this.gain = 1 / (1 + t);
  }

  process(samples: Float64Array, frames: number): void {
    const { feedback, gain } = this;
    let { input, output } = this;
    for (let i = 0; i < frames; i += 1) {
      const x = samples[i]!;
      output = feedback * output + gain * (x - input);
      input = x;
      samples[i] = output;
    }
    this.input = input;
    this.output = output;
  }
}
