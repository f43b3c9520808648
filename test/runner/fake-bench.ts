import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../../src/bench/bench.js';

const BLOCK_FRAMES = 1024;

/** What becomes of the samples of one bench channel on their way through the unit. */
export type Through = (samples: Float64Array, channel: number, start: number) => Float64Array;

/** A bench made of one function, on virtual time, that keeps account of what was asked of it. */
export class FakeBench implements Bench {
  readonly kind = 'simulated';
  readonly calls: string[] = [];
  /** Largest digital sample played so far. */
  loudest = 0;
  private time_s = 0;

  constructor(
    readonly channels: number,
    private readonly through: Through,
    readonly energises = false,
    readonly rate_Hz = 48_000,
    /** How long before it captures a block the bench asks for it, in blocks, as a bench with buffers does. */
    private readonly blocksAhead = 0,
  ) {}

  async open(): Promise<void> {
    this.calls.push('open');
  }

  async configure(setting: BenchSetting): Promise<void> {
    this.calls.push(`configure ${setting.load_ohm} ohm, channels ${setting.driven.join(' ')}`);
  }

  async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    this.calls.push('play');
    try {
      const buffered: (readonly Float64Array[])[] = [];
      for (let start = 0; ; start += BLOCK_FRAMES) {
        while (buffered.length <= this.blocksAhead) {
          buffered.push(source.render(start + buffered.length * BLOCK_FRAMES, BLOCK_FRAMES));
        }
        const out = buffered.shift()!;
        for (const samples of out)
          for (const sample of samples) this.loudest = Math.max(this.loudest, Math.abs(sample));
        this.time_s += BLOCK_FRAMES / this.rate_Hz;
        yield { start, channels: out.map((samples, i) => this.through(samples, i + 1, start)) };
      }
    } finally {
      this.calls.push('silence');
    }
  }

  async idle(seconds: number): Promise<void> {
    this.calls.push(`idle ${seconds}`);
    this.time_s += seconds;
  }

  now_s(): number {
    return this.time_s;
  }

  async close(): Promise<void> {
    this.calls.push('close');
  }
}

/** A unit that amplifies and clips hard, in digital units, over a little fixed noise. */
export function clippingUnit(gain: number, clip: number): Through {
  return (samples, channel, start) =>
    samples.map((sample, i) => {
      const noise = 1e-6 * Math.sin(12.9898 * (start + i) ** 1.0001 + 78.233 * channel);
      return Math.max(-clip, Math.min(clip, gain * sample)) + noise;
    });
}
