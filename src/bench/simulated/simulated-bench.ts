import { setImmediate as breathe } from 'node:timers/promises';
import type { ChannelChain } from '../../calibration/chain.js';
import type { Bench, Block, Setting, SignalSource } from '../bench.js';
import { BenchBusy, BenchClosed } from '../bench-errors.js';
import type { BenchSetup } from '../bench-setup.js';
import { Amplifier } from './amplifier.js';
import { ChannelPath } from './channel-path.js';
import { InputConverter, OutputConverter } from './converter.js';
import { DummyLoad } from './dummy-load.js';
import { GROUP } from './half-band.js';
import { LoadNotOnBench, TwinDoesNotFit } from './simulated-faults.js';
import { channelTwin, type Twin } from './twin.js';

/** Frames of a yielded block, and of a stretch that is worked on at once: small enough to stay in the cache. */
const BLOCK_FRAMES = 2048;
const STRETCH_FRAMES = 128;
const RAMP_DOWN_S = 0.02;
/** Rests are cut into pieces of this length, so that one can be broken off. */
const REST_PIECE_S = 60;

/**
 * A bench that plays into an amplifier twin, in virtual time: seconds pass as samples are made, and an
 * hour of rest costs milliseconds. The same setup, twin and calls give the same samples.
 */
export class SimulatedBench implements Bench {
  readonly kind = 'simulated';
  readonly energises = false;
  readonly rate_Hz: number;
  readonly channels: number;
  private readonly setup: BenchSetup;
  private readonly twin: Twin;
  private readonly seed: number;
  private readonly amplifier: Amplifier;
  private readonly outputs: readonly OutputConverter[];
  private readonly inputs: readonly InputConverter[];
  private readonly volts: readonly Float64Array[];
  /** Every load that has been connected, so that it stays warm while another takes its place. */
  private readonly loads = new Map<string, DummyLoad>();
  private load_ohm: number | null = null;
  private pathDelay = 0;
  private clock_s = 0;
  private isOpen = false;
  private isPlaying = false;

  /** @throws TwinDoesNotFit when the bench has more channels than the twin, or no simulated interface */
  constructor(setup: BenchSetup, twin: Twin) {
    if (setup.interface.kind !== 'simulated') {
      throw new TwinDoesNotFit({ what: `the bench ${setup.name} has no simulated interface` });
    }
    this.setup = setup;
    this.twin = twin;
    this.seed = setup.interface.seed;
    this.rate_Hz = setup.rate_Hz;
    this.channels = setup.channels.length;
    if (twin.channels !== null && twin.channels < this.channels) {
      throw new TwinDoesNotFit({
        what: `the bench has ${this.channels} channels and the twin ${twin.name} only ${twin.channels}`,
        mend: 'Give the bench file no more channels than the twin has',
      });
    }
    this.amplifier = new Amplifier(twin, this.channels, this.rate_Hz, STRETCH_FRAMES);
    const { converters, truth } = twin;
    const parts = { twin: converters, rate_Hz: this.rate_Hz };
    this.outputs = setup.channels.map(({ outputFullScale_Vpk }, i) => {
      const fullScale_Vpk = outputFullScale_Vpk * (1 + truth.outputLevel);
      return new OutputConverter({
        ...parts,
        fullScale_Vpk,
        noise_V: converters.outputNoise_V,
        seed: this.seedFor(i, 1),
      });
    });
    this.inputs = setup.channels.map(({ inputFullScale_Vpk }, i) => {
      const fullScale_Vpk = inputFullScale_Vpk / (1 + truth.inputLevel);
      return new InputConverter({
        ...parts,
        fullScale_Vpk,
        noise_V: converters.inputNoise_V,
        seed: this.seedFor(i, 2),
      });
    });
    this.volts = setup.channels.map(() => new Float64Array(STRETCH_FRAMES));
  }

  async open(): Promise<void> {
    this.isOpen = true;
    if (this.load_ohm === null) this.connect(this.setup.channels[0]?.loads[0]?.nominal_ohm ?? 8);
  }

  async configure(setting: Setting): Promise<void> {
    this.requireIdle();
    if (setting.load_ohm !== this.load_ohm) this.connect(setting.load_ohm);
  }

  async *play(source: SignalSource): AsyncGenerator<Block, void, void> {
    this.requireIdle();
    this.isPlaying = true;
    const delay = this.pathDelay + this.twin.converters.latency_frames;
    const lead = GROUP * Math.ceil(delay / GROUP);
    // The source's frame 0 comes back when `lead` frames have gone out.
    let rendered = delay - lead;
    const render = (frames: number) => {
      const channels = renderFrom(source, rendered, frames, this.channels);
      rendered += frames;
      return channels;
    };
    try {
      this.pass(render(lead));
      for (let start = 0; ; start += BLOCK_FRAMES) {
        const channels = this.pass(render(BLOCK_FRAMES));
        this.clock_s += BLOCK_FRAMES / this.rate_Hz;
        // Lets signals and timers through, which an unbroken chain of promises would starve.
        await breathe();
        yield { start, channels };
      }
    } finally {
      this.rampDown(source, rendered, lead);
      this.isPlaying = false;
    }
  }

  async idle(seconds: number, signal?: AbortSignal): Promise<void> {
    this.requireIdle();
    for (let left = seconds; left > 0 && !signal?.aborted; left -= REST_PIECE_S) {
      const piece_s = Math.min(left, REST_PIECE_S);
      this.amplifier.rest(piece_s);
      this.clock_s += piece_s;
      await breathe();
    }
  }

  now_s(): number {
    return this.clock_s;
  }

  /** The twin's heatsink. */
  get temperature_C(): number {
    return this.amplifier.temperature_C;
  }

  async close(): Promise<void> {
    this.isOpen = false;
  }

  private requireIdle(): void {
    if (!this.isOpen) throw new BenchClosed();
    if (this.isPlaying) throw new BenchBusy();
  }

  private connect(load_ohm: number): void {
    const channels = this.setup.channels.map((chain, i) => {
      const load = this.loadFor(chain, load_ohm);
      const twin = channelTwin(this.twin, i + 1);
      const seed = this.seedFor(i, 3);
      return { load, path: new ChannelPath(twin, load, this.rate_Hz, STRETCH_FRAMES, seed) };
    });
    this.amplifier.connect(channels);
    this.pathDelay = channels[0]?.path.delay ?? 0;
    this.load_ohm = load_ohm;
  }

  private loadFor(chain: ChannelChain, load_ohm: number): DummyLoad {
    const key = `${chain.channel} ${load_ohm}`;
    const known = this.loads.get(key);
    if (known) return known;
    const load = chain.loads.find(({ nominal_ohm }) => nominal_ohm === load_ohm);
    if (!load) {
      throw new LoadNotOnBench({
        what: `channel ${chain.channel} has no load of ${load_ohm} ohm`,
        mend: `The bench file gives it ${chain.loads.map(({ nominal_ohm }) => `${nominal_ohm} ohm`).join(', ') || 'none'}`,
      });
    }
    const made = new DummyLoad(load, this.twin.truth.load);
    this.loads.set(key, made);
    return made;
  }

  /** Plays what was rendered and gives back as many captured frames. */
  private pass(played: readonly Float64Array[]): Float64Array[] {
    const frames = played[0]!.length;
    const captured = played.map(() => new Float64Array(frames));
    for (let at = 0; at < frames; at += STRETCH_FRAMES) {
      const count = Math.min(STRETCH_FRAMES, frames - at);
      const stretch = (samples: Float64Array) => samples.subarray(at, at + count);
      this.outputs.forEach((output, i) => {
        output.process(stretch(played[i]!), this.volts[i]!, count);
      });
      this.amplifier.process(this.volts, captured.map(stretch), count);
      this.inputs.forEach((input, i) => {
        const samples = stretch(captured[i]!);
        const ratio = 1 / this.setup.channels[i]!.attenuator_ratio;
        for (let n = 0; n < count; n += 1) samples[n] = samples[n]! * ratio;
        input.process(samples, count);
      });
    }
    return captured;
  }

  /** Fades what would have come next, then lets silence through; a source that fails is cut off. */
  private rampDown(source: SignalSource, from: number, lead: number): void {
    const frames = GROUP * Math.ceil((RAMP_DOWN_S * this.rate_Hz) / GROUP);
    const silence = (count: number) => this.outputs.map(() => new Float64Array(count));
    let played: readonly Float64Array[];
    try {
      played = renderFrom(source, from, frames, this.channels).map((samples) =>
        samples.map((sample, n) => sample * (0.5 + 0.5 * Math.cos((Math.PI * (n + 1)) / frames))),
      );
    } catch {
      played = silence(frames);
    }
    this.pass(played);
    this.pass(silence(frames + lead));
    this.clock_s += (2 * frames + lead) / this.rate_Hz;
  }

  private seedFor(channel: number, part: number): number {
    return Math.imul(this.seed + 1, 0x9e3779b1) ^ Math.imul(channel * 4 + part, 0x85ebca6b);
  }
}

/** Samples of a source from frame `start` on, which may lie before its first: silence. */
function renderFrom(
  source: SignalSource,
  start: number,
  frames: number,
  channels: number,
): readonly Float64Array[] {
  const silent = Math.min(Math.max(-start, 0), frames);
  if (silent === 0) return source.render(start, frames);
  const rendered = silent < frames ? source.render(start + silent, frames - silent) : [];
  return Array.from({ length: channels }, (_, i) => {
    const samples = new Float64Array(frames);
    if (rendered[i]) samples.set(rendered[i], silent);
    return samples;
  });
}
