import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../../src/bench/bench.js';
import type { SimulatedBench } from '../../src/bench/simulated/simulated-bench.js';
import type { Harm } from './harm.js';

/** How loud the terminals were in one block, before any harm to the samples. */
export interface Heard {
  readonly start_s: number;
  /** Rms by bench channel: what was played, what came back, and what the current shunts gave. */
  readonly played: readonly number[];
  readonly channels: readonly number[];
  readonly currents: readonly number[];
}

/**
 * A simulated bench that is harmed while it plays. It keeps account of what was done to it and of the last sample that
 * was played, on the bench's own clock.
 */
export class HarmedBench implements Bench {
  readonly kind = 'simulated';
  readonly energises: boolean;
  readonly rate_Hz: number;
  readonly channels: number;
  /** When the last sample that was not zero went out; -1 before there was one. */
  lastSounding_s = -1;
  /** Samples that have come in over all plays. */
  captured = 0;
  /** When the harm began, on the bench's clock; null before that. */
  harmed_s: number | null = null;
  /** Samples that the harm has changed, lost or added. */
  touched = 0;
  readonly #inner: SimulatedBench;
  readonly #hidesCurrents: boolean;
  readonly #onBlock: (heard: Heard, bench: SimulatedBench) => void;
  #harm: Harm | null = null;
  /** When the play began on the bench's clock, and what it plays. */
  #begun_s = 0;
  #source: SignalSource | null = null;

  constructor(
    inner: SimulatedBench,
    options: {
      readonly hidesCurrents?: boolean;
      /** Says that the bench is one whose terminals carry real power. */
      readonly energises?: boolean;
      readonly onBlock?: (heard: Heard, bench: SimulatedBench) => void;
    } = {},
  ) {
    this.#inner = inner;
    this.#hidesCurrents = options.hidesCurrents ?? false;
    this.#onBlock = options.onBlock ?? (() => {});
    this.energises = options.energises ?? false;
    this.rate_Hz = inner.rate_Hz;
    this.channels = inner.channels;
  }

  harm(harm: Harm): void {
    this.#harm = harm;
  }

  open(): Promise<void> {
    return this.#inner.open();
  }

  configure(setting: BenchSetting): Promise<void> {
    return this.#inner.configure(setting);
  }

  async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    this.#begun_s = this.#inner.now_s();
    this.#source = source;
    let start = 0;
    for await (const block of this.#inner.play(this.#listened(source))) {
      this.#onBlock(this.#heard(block), this.#inner);
      const channels = this.#harmed(block);
      const length = channels[0]!.length;
      if (length > 0) yield this.#asSeen(start, channels, block);
      start += length;
    }
  }

  /** Says that the bench itself has been harmed, from the block on that comes next. */
  harmedFromNow(): void {
    this.harmed_s ??= this.#inner.now_s();
  }

  /** Bench time at which frame `frame` of the present play is heard. */
  timeOf(frame: number): number {
    return this.#begun_s + frame / this.rate_Hz;
  }

  idle(seconds: number, signal?: AbortSignal): Promise<void> {
    return this.#inner.idle(seconds, signal);
  }

  now_s(): number {
    return this.#inner.now_s();
  }

  close(): Promise<void> {
    return this.#inner.close();
  }

  #asSeen(start: number, channels: readonly Float64Array[], { currents }: SoundBlock): SoundBlock {
    return currents && !this.#hidesCurrents ? { start, channels, currents } : { start, channels };
  }

  /** The source, with its last sounding frame noted whenever some of it is asked for. */
  #listened(source: SignalSource): SignalSource {
    return {
      get horizonFrames() {
        return source.horizonFrames;
      },
      render: (start, frames) => {
        const channels = source.render(start, frames);
        const last = Math.max(...channels.map((samples) => samples.findLastIndex((sample) => sample !== 0)));
        if (last >= 0) this.lastSounding_s = this.timeOf(start + last);
        return channels;
      },
    };
  }

  #heard({ start, channels, currents }: SoundBlock): Heard {
    const played = this.#source!.render(start, channels[0]!.length);
    return {
      start_s: this.timeOf(start),
      played: played.map(rms),
      channels: channels.map(rms),
      currents: (currents ?? []).map((samples) => (samples ? rms(samples) : 0)),
    };
  }

  #harmed({ start, channels }: SoundBlock): readonly Float64Array[] {
    const at = this.captured;
    this.captured += channels[0]!.length;
    if (!this.#harm) return channels;
    if (this.#harm.from < this.captured) this.harmed_s ??= this.timeOf(start + this.#harm.from - at);
    const after = this.#harm.take(channels, at);
    channels.forEach((samples, i) => {
      this.touched += Math.abs(samples.length - after[i]!.length);
      const common = Math.min(samples.length, after[i]!.length);
      for (let n = 0; n < common; n += 1) if (samples[n] !== after[i]![n]) this.touched += 1;
    });
    return after;
  }
}

function rms(samples: Float64Array): number {
  let sum = 0;
  for (const sample of samples) sum += sample * sample;
  return Math.sqrt(sum / samples.length);
}
