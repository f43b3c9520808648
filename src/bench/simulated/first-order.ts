/** A first-order filter: y = pole y' + gain (x - zero x'). */
class FirstOrder {
  private input = 0;
  private output = 0;

  protected constructor(
    private readonly pole: number,
    private readonly zero: number,
    private readonly step: number,
  ) {}

  process(samples: Float64Array, frames: number): void {
    const { pole, zero, step } = this;
    let { input, output } = this;
    for (let i = 0; i < frames; i += 1) {
      const x = samples[i]!;
      output = pole * output + step * (x - zero * input);
      input = x;
      samples[i] = output;
    }
    this.input = input;
    this.output = output;
  }
}

/** First-order high-pass: a coupling capacitor. Bilinear, with the corner where it was asked for. */
export class Coupling extends FirstOrder {
  private readonly t: number;

  constructor(
    corner_Hz: number,
    private readonly rate_Hz: number,
  ) {
    const t = Math.tan((Math.PI * corner_Hz) / rate_Hz);
    super((1 - t) / (1 + t), 1, 1 / (1 + t));
    this.t = t;
  }

  /** Magnitude at a frequency, exactly what `process` does. */
  gain(frequency_Hz: number): number {
    return 1 / Math.hypot(1, this.t / Math.tan((Math.PI * frequency_Hz) / this.rate_Hz));
  }
}

/** Where the magnitude is matched: in the audio band, and as shares of the rate for low rates. */
const MATCHED_HZ = [12_000, 19_200] as const;
const MATCHED_SHARES = [0.25, 0.4] as const;

/**
 * First-order low-pass, its squared magnitude matched to that of one RC at 0 Hz, 12 kHz and 19.2 kHz.
 *
 * With p = sin^2(pi f / rate) every first-order filter has the squared magnitude (1 + b p) / (1 + a p); two matched
 * frequencies give a and b. A bilinear RC would fall to nothing at half the rate, and could not have its corner above
 * it, where those of sound interfaces lie. With a corner of 90 kHz it follows the RC within 0.005 dB up to 20 kHz.
 */
export class LowPass extends FirstOrder {
  /** Squared magnitude: (1 + b p) / (1 + a p). */
  private readonly a: number;
  private readonly b: number;

  /** @param corner_Hz where the RC passes half the power; may lie above half the rate */
  constructor(
    corner_Hz: number,
    private readonly rate_Hz: number,
  ) {
    const [low, high] = [0, 1].map((i) => {
      const frequency_Hz = Math.min(MATCHED_HZ[i]!, MATCHED_SHARES[i]! * rate_Hz);
      const square = 1 / (1 + (frequency_Hz / corner_Hz) ** 2);
      return { square, fall: (square - 1) / Math.sin((Math.PI * frequency_Hz) / rate_Hz) ** 2 };
    }) as [Match, Match];
    const a = (high.fall - low.fall) / (low.square - high.square);
    const b = low.fall + low.square * a;
    const [pole, zero] = [root(a), root(b)];
    super(pole, zero, (1 - pole) / (1 - zero));
    this.a = a;
    this.b = b;
  }

  /** Magnitude at a frequency, exactly what `process` does. */
  gain(frequency_Hz: number): number {
    const p = Math.sin((Math.PI * frequency_Hz) / this.rate_Hz) ** 2;
    return Math.sqrt((1 + this.b * p) / (1 + this.a * p));
  }
}

/** Squared magnitude at a matched frequency, and its fall from 1 for p = 1. */
interface Match {
  readonly square: number;
  readonly fall: number;
}

/** The root q, inside the unit circle, of a factor 1 - q / z whose squared magnitude goes as 1 + c p. */
function root(c: number): number {
  const ratio = Math.sqrt(1 + c);
  return (ratio - 1) / (ratio + 1);
}
