import { SimulatedBench } from '../../../src/bench/simulated/simulated-bench.js';
import type { Twin } from '../../../src/bench/simulated/twin.js';
import { analyse } from '../../../src/measure/analyse.js';
import { evidenceOf, type PointEvidence } from '../../../src/measure/cause/evidence.js';
import { type CoherentTone, coherentTone } from '../../../src/signal/coherent-tone.js';
import { OUT_VPK, setupFor } from '../../bench/simulated/twin-stand.js';
import { toneSource } from '../../signal/tone-source.js';

const IN_VPK = 200;
/** Blocks begin at multiples of this. */
const BLOCK = 2048;

/** One level at one frequency into one load. `drive` in peak volts out of the interface. */
export interface Capture {
  readonly frequency_Hz: number;
  readonly load_ohm: number;
  readonly drive: number;
}

/** A twin on a bench, looked at as a runner would. */
export class CauseStand {
  private readonly bench: SimulatedBench;
  private readonly rate_Hz: number;

  constructor(twin: Twin, rate_Hz: number, seed: number) {
    this.rate_Hz = rate_Hz;
    this.bench = new SimulatedBench(setupFor({ rate_Hz, seed }), twin);
  }

  /** Evidence from a full record, `settle_s` after the tone began. */
  async evidence(capture: Capture, settle_s = 0.15): Promise<PointEvidence> {
    const tone = coherentTone({ nominal_Hz: capture.frequency_Hz, rate_Hz: this.rate_Hz });
    const [record] = await this.records(tone, capture, [settle_s]);
    return this.read(record!, tone, capture);
  }

  /** Evidence at several moments of one long tone. */
  async overTime(capture: Capture, moments_s: readonly number[]): Promise<PointEvidence[]> {
    const tone = coherentTone({ nominal_Hz: capture.frequency_Hz, rate_Hz: this.rate_Hz });
    const records = await this.records(tone, capture, moments_s);
    return records.map((record) => this.read(record, tone, capture));
  }

  /** Distortion and noise at a level, percent, from a short record. */
  async thdn_percent(capture: Capture): Promise<number> {
    const full = coherentTone({ nominal_Hz: capture.frequency_Hz, rate_Hz: this.rate_Hz });
    const frames = Math.max(8192, 2 ** Math.ceil(Math.log2((9 * this.rate_Hz) / capture.frequency_Hz)));
    const cycles = 2 * Math.floor((full.frequency_Hz * frames) / this.rate_Hz / 2) + 1;
    const tone = { ...full, frames, cycles, frequency_Hz: (cycles * this.rate_Hz) / frames };
    const [record] = await this.records(tone, capture, [0.12]);
    const band = [20, Math.max(20_000, 3.2 * tone.frequency_Hz)] as const;
    return analyse([record!], { rate_Hz: this.rate_Hz, band, tone, gaps: false })[0]!.thdn_percent;
  }

  /**
   * The least level, as a drive, at which THD+N is above a threshold, to within 0.1 dB; `most` when it never
   * is.
   */
  async ceiling(
    at: Omit<Capture, 'drive'>,
    percent: number,
    range: readonly [number, number],
  ): Promise<number> {
    let [low, high] = range;
    while (20 * Math.log10(high / low) > 0.2) {
      const drive = Math.sqrt(low * high);
      if ((await this.thdn_percent({ ...at, drive })) > percent) high = drive;
      else low = drive;
    }
    return high;
  }

  private read(record: Float64Array, tone: CoherentTone, capture: Capture): PointEvidence {
    return evidenceOf(record, tone, {
      voltsPerUnit: IN_VPK,
      load_ohm: capture.load_ohm,
      drive: capture.drive,
    });
  }

  private async records(
    tone: CoherentTone,
    capture: Capture,
    moments_s: readonly number[],
  ): Promise<Float64Array[]> {
    const { bench, rate_Hz } = this;
    await bench.open();
    await bench.configure({ load_ohm: capture.load_ohm, driven: [1] });
    const peaks = [capture.drive / OUT_VPK];
    const source = toneSource([{ at: 0, tone, peaks, rampFrames: Math.round(0.01 * rate_Hz) }], 1);
    const starts = moments_s.map((moment_s) => BLOCK * Math.ceil((moment_s * rate_Hz) / BLOCK));
    const records = starts.map(() => new Float64Array(tone.frames));
    for await (const { start, channels } of bench.play(source)) {
      starts.forEach((from, i) => {
        const at = start - from;
        if (at < 0 || at >= tone.frames) return;
        records[i]!.set(channels[0]!.subarray(0, tone.frames - at), at);
      });
      if (start + BLOCK >= starts.at(-1)! + tone.frames) break;
    }
    return records;
  }
}
