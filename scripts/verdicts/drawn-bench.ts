import { join } from 'node:path';
import type { Bench, SignalSource, SoundBlock } from '../../src/bench/bench.js';
import { readBench } from '../../src/bench/bench-file.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { decibelsOfPower } from '../../src/units/decibel.js';
import type { Dice } from './dice.js';
import type { Given, InventedUnit } from './invented-unit.js';

const BLOCK_FRAMES = 1024;
const RATE_Hz = 48_000;
const LOAD_ohm = 8;
/** Peak volts at the load for digital full scale, out through a gain of 20 and in through the attenuator. */
const OUT_V = 4 * Math.SQRT2 * 20;
const IN_V = 4 * 50;
/** White noise is drawn up to half the rate and measured from 20 Hz to 20 kHz. */
const IN_BAND = Math.sqrt(19_980 / (RATE_Hz / 2));
/** Samples over which the amplitude of the tone is averaged. */
const OVER = 96;
/** An amplitude that has moved by less is the same. */
const SAME = 1e-5;

/** A bench of one channel that states this expanded uncertainty for the volts at its load. */
export function drawnSetup(share: number): BenchSetup {
  const text = `name: Drawn
interface: {kind: simulated, twin: ideal-40, rate: 48 kHz}
channels:
  - output: {full_scale: 4 V rms}
    input: {full_scale: 4 V peak, uncertainty: 0 %}
    attenuator: {ratio: 50, rating: 300 V peak, uncertainty: ${(100 * share).toFixed(4)} %}
    load: {nominal: 8 ohm, rating: 1 kW, uncertainty: 0 %}
`;
  return readBench(text, join(import.meta.dirname, '..', '..', 'benches', 'drawn.yaml'));
}

/**
 * A simulated bench on virtual time whose unit gives, at the amplitude that it is driven with, the power, distortion (all of it
 * third harmonic) and noise of an invented unit. It reads every voltage wrong by one factor that nobody knows.
 */
export class DrawnBench implements Bench {
  readonly kind = 'simulated';
  readonly energises = false;
  readonly rate_Hz = RATE_Hz;
  readonly channels = 1;
  #time_s = 0;
  #past: [number, number] = [0, 0];
  #squares: number[] = [];
  #sum = 0;
  #amplitude = 0;
  #given: Given | null = null;

  /** @param error of every voltage read, as a factor */
  constructor(
    private readonly unit: InventedUnit,
    private readonly dice: Dice,
    private readonly error: number,
  ) {}

  async open(): Promise<void> {}
  async configure(): Promise<void> {}
  async close(): Promise<void> {}

  async idle(seconds: number): Promise<void> {
    this.#time_s += seconds;
  }

  now_s(): number {
    return this.#time_s;
  }

  async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    for (let start = 0; ; start += BLOCK_FRAMES) {
      const [out] = source.render(start, BLOCK_FRAMES);
      this.#time_s += BLOCK_FRAMES / RATE_Hz;
      yield { start, channels: [this.#through(out!)] };
    }
  }

  #through(out: Float64Array): Float64Array {
    const sine2 = 1 - cosineOf(out) ** 2;
    return out.map((x) => {
      const amplitude = this.#amplitudeAt(x, sine2);
      const drive_V = amplitude * OUT_V;
      return (this.error * this.#volts(amplitude > 0 ? x / amplitude : 0, drive_V)) / IN_V;
    });
  }

  /** Of three samples of a sine, the middle one's square less the product of the others is the squared amplitude times that of the sine of its step. */
  #amplitudeAt(x: number, sine2: number): number {
    const [a, b] = this.#past;
    this.#past = [b, x];
    const square = sine2 > 1e-9 ? Math.max(0, b * b - a * x) / sine2 : 0;
    this.#squares.push(square);
    this.#sum += square;
    if (this.#squares.length > OVER) this.#sum -= this.#squares.shift()!;
    return Math.max(Math.abs(x), Math.sqrt(Math.max(0, this.#sum / this.#squares.length)));
  }

  #volts(sine: number, drive_V: number): number {
    if (drive_V < 1e-6) return 0;
    if (!this.#given || Math.abs(drive_V / this.#amplitude - 1) > SAME) {
      this.#amplitude = drive_V;
      this.#given = this.unit.at(decibelsOfPower(drive_V ** 2 / (2 * LOAD_ohm)));
    }
    const { power_W, percent, noise_percent } = this.#given;
    const rms_V = Math.sqrt(power_W * LOAD_ohm);
    const noise = Math.min(noise_percent, percent) / 100;
    const third = Math.sqrt(Math.max(0, (percent / 100) ** 2 - noise ** 2));
    const first = Math.sqrt(Math.max(0, 1 - (percent / 100) ** 2));
    const wave = first * sine + third * (3 * sine - 4 * sine ** 3);
    return rms_V * (Math.SQRT2 * wave + (noise / IN_BAND) * this.dice.normal());
  }
}

/** Cosine of the step from sample to sample of the tone in a block, by least squares; 1 for silence. */
function cosineOf(samples: Float64Array): number {
  let [cross, square] = [0, 0];
  for (let i = 1; i + 1 < samples.length; i += 1) {
    cross += (samples[i - 1]! + samples[i + 1]!) * samples[i]!;
    square += 2 * samples[i]! ** 2;
  }
  return square > 0 ? Math.min(1, cross / square) : 1;
}
