import { SimulatedBench } from '../../../src/bench/simulated/simulated-bench.js';
import type { Twin } from '../../../src/bench/simulated/twin.js';
import { readTwin } from '../../../src/bench/simulated/twin-file.js';
import { analyse } from '../../../src/measure/analyse.js';
import type { ChannelAnalysis } from '../../../src/measure/analysis.js';
import { coherentTone } from '../../../src/signal/coherent-tone.js';
import { toneSource } from '../../signal/tone-source.js';
import { type StandOptions, setupFor } from './twin-stand.js';

/** An amplifier of gain 10 that is ideal up to 400 V, in a room of 25 degrees. */
export const twinOf = (more = ''): Twin =>
  readTwin(`twin: Invented\ngain: 20 dB\nsupply: { regulated: 400 V }\n${more}\n`, 'twin.yaml');

/** What came back of a steady tone, in digital units. */
export interface Heard {
  readonly channels: readonly ChannelAnalysis[];
  readonly currents: readonly (ChannelAnalysis | null)[];
  readonly frequency_Hz: number;
}

/** A bench of codes in and codes out. */
export class TruthStand {
  readonly bench: SimulatedBench;
  readonly rate_Hz: number;

  constructor(twin: Twin, options: StandOptions = {}) {
    const setup = setupFor(options);
    this.rate_Hz = setup.rate_Hz;
    this.bench = new SimulatedBench(setup, twin);
  }

  async open(): Promise<this> {
    await this.bench.open();
    return this;
  }

  /**
   * Plays a steady tone and analyses one record of it.
   *
   * @param peaks digital, by channel
   * @param whilePlaying called when the record is complete and the tone still plays
   */
  async hear(
    nominal_Hz: number,
    peaks: readonly number[],
    whilePlaying: () => void = () => {},
  ): Promise<Heard> {
    const tone = coherentTone({ nominal_Hz, rate_Hz: this.rate_Hz });
    const source = toneSource([{ at: 0, tone, peaks, rampFrames: 480 }], peaks.length);
    // Couplings of 2 Hz come to rest within 1e-10 in two seconds.
    const settle_s = nominal_Hz < 100 ? 2 : 0.5;
    const from = 2048 * Math.ceil((settle_s * this.rate_Hz) / 2048);
    const channels = peaks.map(() => new Float64Array(tone.frames));
    const currents = peaks.map(() => null as Float64Array | null);
    for await (const block of this.bench.play(source)) {
      const at = block.start - from;
      if (at < 0) continue;
      block.channels.forEach((samples, i) => {
        channels[i]!.set(samples.subarray(0, tone.frames - at), at);
      });
      block.currents?.forEach((samples, i) => {
        if (!samples) return;
        currents[i] ??= new Float64Array(tone.frames);
        currents[i].set(samples.subarray(0, tone.frames - at), at);
      });
      if (at + block.channels[0]!.length < tone.frames) continue;
      whilePlaying();
      break;
    }
    const look = (samples: Float64Array) =>
      analyse([samples], { rate_Hz: this.rate_Hz, band: [20, 20_000], tone, gaps: false })[0]!;
    return {
      channels: channels.map(look),
      currents: currents.map((samples) => samples && look(samples)),
      frequency_Hz: tone.frequency_Hz,
    };
  }

  /** Peak of the fundamental that comes back on each channel. */
  async peaks(nominal_Hz: number, peaks: readonly number[]): Promise<number[]> {
    const { channels } = await this.hear(nominal_Hz, peaks);
    return channels.map(({ fundamental_rms }) => fundamental_rms * Math.SQRT2);
  }
}
