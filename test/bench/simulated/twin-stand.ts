import type { BenchSetup } from '../../../src/bench/bench-setup.js';
import { SimulatedBench } from '../../../src/bench/simulated/simulated-bench.js';
import { readTwin } from '../../../src/bench/simulated/twin-file.js';
import type { ChannelChain, Load } from '../../../src/calibration/chain.js';
import { analyse } from '../../../src/measure/analyse.js';
import type { Band, ChannelAnalysis } from '../../../src/measure/analysis.js';
import { type CoherentTone, coherentTone } from '../../../src/signal/coherent-tone.js';
import { plainChain, plainLoad } from '../../calibration/plain-chain.js';
import { toneSource } from '../../signal/tone-source.js';

/** The bench that the twins are tested on: 10 V peak out, no attenuation, 200 V peak in. */
export const OUT_VPK = 10;
const IN_VPK = 200;

export interface StandOptions {
  readonly rate_Hz?: number;
  readonly channels?: number;
  readonly seed?: number;
  /** Changes to every load. */
  readonly load?: Partial<Load>;
  /** Changes to every channel. */
  readonly chain?: Partial<ChannelChain>;
}

export function setupFor({
  rate_Hz = 48_000,
  channels = 1,
  seed = 1,
  load = {},
  chain = {},
}: StandOptions): BenchSetup {
  const loads = [8, 4, 2, 16, 100].map((nominal_ohm) =>
    plainLoad(nominal_ohm, { rating_W: 1000, thermal_s: 60, ...load }),
  );
  return {
    name: 'stand',
    kind: 'simulated',
    interface: { kind: 'simulated', twinPath: 'stand.yaml', seed },
    rate_Hz,
    channels: Array.from({ length: channels }, (_, i) =>
      plainChain(i + 1, {
        outputFullScale_Vpk: OUT_VPK,
        inputFullScale_Vpk: IN_VPK,
        attenuatorRating_Vpk: 1000,
        loads,
        ...chain,
      }),
    ),
    assumedGain_dB: 40,
    dcLimit_V: 5,
    floor: null,
    energises: false,
    clock: 'virtual',
    clockLimits_ppm: null,
    day: '2026-03-01',
    path: 'stand.yaml',
    text: '',
    sha256: '',
  };
}

/** An amplifier twin on its bench, and what one wants to do with it. */
export class TwinStand {
  readonly bench: SimulatedBench;
  readonly rate_Hz: number;

  constructor(twinYaml: string, options: StandOptions = {}) {
    this.rate_Hz = options.rate_Hz ?? 48_000;
    this.bench = new SimulatedBench(setupFor(options), readTwin(twinYaml, 'stand.yaml'));
  }

  async connect(load_ohm: number): Promise<this> {
    await this.bench.open();
    await this.bench.configure({ load_ohm, driven: [1] });
    return this;
  }

  tone(nominal_Hz: number): CoherentTone {
    return coherentTone({ nominal_Hz, rate_Hz: this.rate_Hz });
  }

  /**
   * Plays a steady tone and gives load volts of every channel.
   *
   * @param input_Vpk peak volts into each channel
   * @param settle_s seconds played before the record begins
   */
  async volts(tone: CoherentTone, input_Vpk: readonly number[], settle_s = 0.1): Promise<Float64Array[]> {
    const { bench } = this;
    const peaks = input_Vpk.map((volts) => volts / OUT_VPK);
    const source = toneSource(
      [{ at: 0, tone, peaks, rampFrames: Math.round(0.01 * this.rate_Hz) }],
      peaks.length,
    );
    const from = Math.ceil((settle_s * this.rate_Hz) / 1024) * 1024;
    const records = peaks.map(() => new Float64Array(tone.frames));
    for await (const { start, channels } of bench.play(source)) {
      channels.forEach((block, i) => {
        const at = start - from;
        const skip = Math.max(0, -at);
        const taken = block.subarray(
          Math.min(skip, block.length),
          Math.max(skip, Math.min(block.length, tone.frames - at)),
        );
        if (at + skip < tone.frames) records[i]!.set(taken, at + skip);
      });
      if (start + channels[0]!.length >= from + tone.frames) break;
    }
    return records.map((record) => record.map((code) => code * IN_VPK));
  }

  /** Heatsink temperature after a tone has played on one channel for some seconds. */
  async temperatureWhile(nominal_Hz: number, input_Vpk: number, seconds: number): Promise<number> {
    for await (const { start } of this.bench.play(this.steady(nominal_Hz, input_Vpk))) {
      if (start > seconds * this.rate_Hz) return this.bench.temperature_C;
    }
    return Number.NaN;
  }

  /** Seconds that a tone plays until the first channel falls silent. */
  async silentAfter(nominal_Hz: number, input_Vpk: number): Promise<number> {
    for await (const { start, channels } of this.bench.play(this.steady(nominal_Hz, input_Vpk))) {
      const silent = channels[0]!.findIndex((_, n, all) => all.slice(n, n + 8).every((code) => code === 0));
      if (start > 0 && silent >= 0) return (start + silent) / this.rate_Hz;
      if (start > 60 * this.rate_Hz) break;
    }
    return Number.POSITIVE_INFINITY;
  }

  private steady(nominal_Hz: number, input_Vpk: number) {
    return toneSource(
      [{ at: 0, tone: this.tone(nominal_Hz), peaks: [input_Vpk / OUT_VPK], rampFrames: 480 }],
      1,
    );
  }

  /** Plays a steady tone and measures every channel in volts. */
  async read(
    nominal_Hz: number,
    input_Vpk: readonly number[],
    options: { settle_s?: number; band?: Band } = {},
  ): Promise<readonly ChannelAnalysis[]> {
    const tone = this.tone(nominal_Hz);
    const volts = await this.volts(tone, input_Vpk, options.settle_s);
    const band = options.band ?? [20, 20_000];
    return analyse(volts, { rate_Hz: this.rate_Hz, band, tone });
  }
}

/** Watts of a reading. */
export function watts({ rms }: ChannelAnalysis, ohm: number): number {
  return rms ** 2 / ohm;
}

/** Drives a twin's channels alike, harder and easier by halves, until the first reads `percent` THD+N; gives the reading. */
export async function atThdn(
  stand: TwinStand,
  nominal_Hz: number,
  percent: number,
  range_Vpk: readonly [low: number, high: number],
  options: { channels?: number; settle_s?: number; band?: Band; steps?: number } = {},
): Promise<readonly ChannelAnalysis[]> {
  let [low, high] = range_Vpk;
  let readings: readonly ChannelAnalysis[] = [];
  for (let step = 0; step < (options.steps ?? 16); step += 1) {
    const middle = (low + high) / 2;
    readings = await stand.read(nominal_Hz, new Array<number>(options.channels ?? 1).fill(middle), options);
    if (readings[0]!.thdn_percent > percent) high = middle;
    else low = middle;
  }
  return readings;
}
