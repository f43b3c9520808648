import type { Bench, BenchSetting, SignalSource, SoundBlock, Wiring } from '../../src/bench/bench.js';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import type { CalibrationWork } from '../../src/calibrator/calibration-work.js';
import type { Meter, MeterQuestion } from '../../src/calibrator/meter.js';
import { fitHarmonics } from '../../src/measure/harmonic-fit.js';
import { seededRandom } from '../../src/signal/dither.js';
import { plainChain, plainLoad } from '../calibration/plain-chain.js';

/** What a channel of a bench truly is. */
export interface Truth {
  readonly output_Vpk: number;
  readonly input_Vpk: number;
  readonly ratio: number;
  /** Input that the tone of this output truly reaches, from 1; null: none. */
  readonly heardOn: number | null;
  /** Digital level at which the input stops; 1: at its rail. */
  readonly clipAt: number;
  /** Share of the samples before that a first-order low-pass keeps: 0 is none. */
  readonly outputLag: number;
  readonly inputLag: number;
  /** Level that the output loses at its full scale, as a share: gain reduction. */
  readonly compression: number;
}

export function truth(channel: number, changes: Partial<Truth> = {}): Truth {
  return {
    output_Vpk: 2.8,
    input_Vpk: 2.9,
    ratio: 25,
    heardOn: channel,
    clipAt: 1,
    outputLag: 0,
    inputLag: 0,
    compression: 0,
    ...changes,
  };
}

const BLOCK_FRAMES = 1024;
const NOISE_V = 2e-6;

/** A bench that is exactly what a test says, with a little noise, on virtual time. */
export class TrueBench implements Bench {
  readonly kind = 'simulated';
  readonly energises = false;
  readonly rate_Hz = 48_000;
  readonly channels: number;
  readonly wirings: (Wiring | undefined)[] = [];
  /** Largest digital sample played, and whether the last one was silence. */
  loudest = 0;
  silent = true;
  /** Volts that the outputs have carried lately. */
  readonly carried: Float64Array[];
  private readonly random = seededRandom(7);
  private time_s = 0;
  private readonly state: { out: number; in: number }[];

  constructor(readonly truths: readonly Truth[]) {
    this.channels = truths.length;
    this.carried = truths.map(() => new Float64Array(16 * BLOCK_FRAMES));
    this.state = truths.map(() => ({ out: 0, in: 0 }));
  }

  async open(): Promise<void> {}
  async configure({ wiring }: BenchSetting): Promise<void> {
    this.wirings.push(wiring);
  }
  async idle(seconds: number): Promise<void> {
    this.time_s += seconds;
  }
  now_s(): number {
    return this.time_s;
  }
  async close(): Promise<void> {}

  async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    try {
      for (let start = 0; ; start += BLOCK_FRAMES) {
        const volts = source.render(start, BLOCK_FRAMES).map((samples, i) => this.leave(samples, i));
        this.time_s += BLOCK_FRAMES / this.rate_Hz;
        await new Promise((resolve) => setImmediate(resolve));
        yield { start, channels: this.truths.map((_, i) => this.arrive(volts, i)) };
      }
    } finally {
      this.silent = true;
    }
  }

  private leave(samples: Float64Array, i: number): Float64Array {
    const { output_Vpk, outputLag, compression } = this.truths[i]!;
    const state = this.state[i]!;
    const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
    this.loudest = Math.max(this.loudest, peak);
    this.silent = false;
    const volts = samples.map((sample) => {
      state.out = outputLag * state.out + (1 - outputLag) * sample * output_Vpk * (1 - compression * peak);
      return state.out;
    });
    const kept = this.carried[i]!;
    kept.copyWithin(0, BLOCK_FRAMES);
    kept.set(volts, kept.length - BLOCK_FRAMES);
    return volts;
  }

  private arrive(volts: readonly Float64Array[], i: number): Float64Array {
    const { input_Vpk, ratio, clipAt, inputLag } = this.truths[i]!;
    const wiring = this.wirings.at(-1) ?? 'unit';
    const state = this.state[i]!;
    const divided = wiring === 'loop' ? 1 : ratio;
    const heard = this.truths.flatMap(({ heardOn }, k) => (heardOn === i + 1 ? [volts[k]!] : []));
    return Float64Array.from({ length: BLOCK_FRAMES }, (_, n) => {
      const sum = wiring.startsWith('loop') ? heard.reduce((total, one) => total + one[n]!, 0) / divided : 0;
      state.in = inputLag * state.in + (1 - inputLag) * sum;
      const noise = NOISE_V * (this.random() + this.random() + this.random() - 1.5) * 2;
      return Math.max(-clipAt, Math.min(clipAt, (state.in + noise) / input_Vpk));
    });
  }
}

/** Level of a low-pass that keeps `lag` of what was, dB: the closed form of its difference equation. */
export function lagLevel_dB(lag: number, frequency_Hz: number, rate_Hz: number): number {
  const w = (2 * Math.PI * frequency_Hz) / rate_Hz;
  return 20 * Math.log10((1 - lag) / Math.sqrt(1 - 2 * lag * Math.cos(w) + lag * lag));
}

/** What a meter does to the volts that are there: a share too much, an offset, a last digit. */
export interface MeterErrors {
  readonly share: number;
  readonly offset: number;
  readonly resolution: number;
}

/** A meter at the outputs of a `TrueBench`. What a person types may be spoilt, reading by reading. */
export class TrueMeter implements Meter {
  readonly texts: string[] = [];
  readonly confirmed: string[] = [];
  /** Answers to questions about loads, in order. */
  constructor(
    private readonly bench: TrueBench,
    private readonly errors: MeterErrors = { share: 0, offset: 0, resolution: 0 },
    private readonly typed: (reading: number, count: number, question: MeterQuestion) => number = (reading) =>
      reading,
    private readonly answers: { confirm: boolean; loads: (question: MeterQuestion) => number } = {
      confirm: true,
      loads: () => Number.NaN,
    },
  ) {}

  async read(question: MeterQuestion, text: string): Promise<number> {
    this.texts.push(text);
    return this.typed(this.look(question), this.texts.length, question);
  }

  async confirm(text: string): Promise<boolean> {
    this.confirmed.push(text);
    return this.answers.confirm;
  }

  private look(question: MeterQuestion): number {
    if (question.kind !== 'output-volts') return this.answers.loads(question);
    const samples = this.bench.carried[question.channel - 1]!;
    const fit = fitHarmonics(samples.slice(-8192), question.frequency_Hz / this.bench.rate_Hz, 1);
    const { cosine, sine } = fit.orders[0]!;
    const { share, offset, resolution } = this.errors;
    const reading = (Math.hypot(cosine, sine) / Math.SQRT2) * (1 + share) + offset;
    return resolution > 0 ? Math.round(reading / resolution) * resolution : reading;
  }
}

/** What the bench file believes of a bench: 2.83 V peak out and in, 25 to 1, loads of 8 ohm, unless changed. */
export function believed(channels: number, changes: Parameters<typeof plainChain>[1] = {}): BenchSetup {
  return {
    name: 'Stand',
    kind: 'simulated',
    interface: { kind: 'simulated', twinPath: 'none', seed: 1 },
    rate_Hz: 48_000,
    channels: Array.from({ length: channels }, (_, i) =>
      plainChain(i + 1, {
        outputFullScale_Vpk: 2.83,
        inputFullScale_Vpk: 2.83,
        attenuator_ratio: 25,
        loads: [plainLoad(8)],
        ...changes,
      }),
    ),
    assumedGain_dB: 40,
    dcLimit_V: 2,
    floor: null,
    energises: false,
    clock: 'virtual',
    clockLimits_ppm: null,
    day: '2026-03-01',
    path: 'bench.yaml',
    text: '',
    sha256: '0'.repeat(64),
  };
}

/** Work on a bench with a meter of 0.5 % + 3 counts of a millivolt, which keeps what it is told. */
export function workOn(
  bench: TrueBench,
  meter: Meter,
  changes: Partial<CalibrationWork> = {},
): CalibrationWork & { readonly told: string[] } {
  const told: string[] = [];
  return {
    bench,
    setup: believed(bench.channels),
    meter,
    accuracy: { percent: 0.5, counts: 3, resolution: 0.001 },
    channels: bench.truths.map((_, i) => i + 1),
    levels_dB: null,
    frequencies_Hz: null,
    tell: (text) => void told.push(text),
    progress: () => {},
    signal: new AbortController().signal,
    told,
    ...changes,
  };
}
