import { setImmediate as yieldToOthers } from 'node:timers/promises';
import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../bench.js';
import { BenchBusy, BenchClosed } from '../bench-errors.js';
import type { BenchSetup } from '../bench-setup.js';
import { BenchPath } from './bench-path.js';
import { LoadRack } from './dummy-load.js';
import { GROUP } from './half-band.js';
import { LatencyLine } from './latency-line.js';
import type { Miswiring } from './miswiring.js';
import { type TrueChain, trueChain } from './true-chain.js';
import type { Twin } from './twin.js';
import { notSimulated, requireFit } from './twin-of.js';

/** Frames of a yielded block. */
const BLOCK_FRAMES = 2048;
const RAMP_DOWN_S = 0.02;
/** Rests are cut into pieces of this length, so that one can be broken off. */
const REST_PIECE_S = 60;
/** Time constants after which nothing is left to warm. */
const SETTLED_TIMES = 20;

/** A load as it is at one moment. */
export interface LoadState {
  readonly ohm: number;
  readonly inductance_H: number;
  readonly temperature_C: number;
}

/**
 * A bench that plays into an amplifier twin, in virtual time: seconds pass as samples are made, and an
 * hour of rest costs milliseconds. The same setup, twin and calls give the same samples.
 *
 * It wires itself as it is told: `loop` brings each output's volts straight to the input of the same channel,
 * `loop-through-attenuator` divided by the true ratio, `open` leaves the inputs with nothing but their noise; the
 * unit rests meanwhile.
 */
export class SimulatedBench implements Bench {
  readonly kind = 'simulated';
  readonly energises = false;
  readonly rate_Hz: number;
  readonly channels: number;
  private readonly setup: BenchSetup;
  private readonly twin: Twin;
  private readonly seed: number;
  private readonly rack: LoadRack;
  private readonly path: BenchPath;
  private readonly hasCurrents: boolean;
  private load_ohm: number | null = null;
  private clock_s = 0;
  private isOpen = false;
  private isPlaying = false;

  /** @throws TwinDoesNotFit when the bench has more channels than the twin, or no simulated interface */
  constructor(setup: BenchSetup, twin: Twin) {
    if (setup.interface.kind !== 'simulated') throw notSimulated(setup);
    requireFit(setup, twin);
    this.setup = setup;
    this.twin = twin;
    this.seed = setup.interface.seed;
    this.rate_Hz = setup.rate_Hz;
    this.channels = setup.channels.length;
    this.rack = new LoadRack(setup, twin);
    this.path = new BenchPath(setup, twin, this.rack, this.seed);
    this.hasCurrents = setup.channels.some(({ current }) => current !== null);
  }

  async open(): Promise<void> {
    this.isOpen = true;
    if (this.load_ohm === null) this.connect(this.setup.channels[0]?.loads[0]?.nominal_ohm ?? 8);
  }

  async configure({ load_ohm, wiring = 'unit' }: BenchSetting): Promise<void> {
    this.requireIdle();
    if (load_ohm !== this.load_ohm) this.connect(load_ohm);
    this.path.wire(wiring);
  }

  /** Spoils cables and loads from now on, also while it plays; whatever was wrong before is put right. */
  miswire(miswiring: Miswiring): void {
    this.path.miswire(miswiring);
  }

  async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    this.requireIdle();
    this.isPlaying = true;
    const { latency_frames } = this.twin.converters;
    const delay = this.path.delay + latency_frames;
    const lead = GROUP * Math.ceil(delay / GROUP);
    // The source's frame 0 comes back when `lead` frames have gone out.
    let rendered = delay - lead;
    const render = (frames: number) => {
      const channels = renderFrom(source, rendered, frames, this.channels);
      rendered += frames;
      return channels;
    };
    const late = this.setup.channels.map(() => [
      new LatencyLine(latency_frames),
      new LatencyLine(latency_frames),
    ]);
    const pass = (frames: number) => {
      const { channels, currents } = this.path.pass(render(frames));
      return {
        channels: channels.map((samples, i) => late[i]![0]!.shift(samples)),
        currents: currents.map((samples, i) => samples && late[i]![1]!.shift(samples)),
      };
    };
    try {
      pass(lead);
      for (let start = 0; ; start += BLOCK_FRAMES) {
        const { channels, currents } = pass(BLOCK_FRAMES);
        this.clock_s += BLOCK_FRAMES / this.rate_Hz;
        // Lets signals and timers through, which an unbroken chain of promises would starve.
        await yieldToOthers();
        yield this.hasCurrents ? { start, channels, currents } : { start, channels };
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
      this.path.rest(piece_s);
      this.clock_s += piece_s;
      await yieldToOthers();
    }
  }

  now_s(): number {
    return this.clock_s;
  }

  /** The twin's heatsink. */
  get temperature_C(): number {
    return this.path.temperature_C;
  }

  get room_C(): number {
    return this.twin.heat.ambient_C;
  }

  /** Rms volts of the mains that the twin runs on; null when its rails are regulated. */
  get mains_V(): number | null {
    const { supply } = this.twin;
    return supply.kind === 'unregulated' ? supply.mains_V : null;
  }

  /** Begins to remember what output and load terminals carry, for `outputVolts` and `loadVolts`. */
  watchTerminals(): void {
    this.path.watch();
  }

  /** Rms volts of the AC at an interface output (channel from 1) over the last 0.4 s; zero while nothing plays. */
  outputVolts(channel: number): number {
    return this.path.trace(channel - 1).output.acRms_V();
  }

  /** The same at the channel's load, behind the unit. */
  loadVolts(channel: number): number {
    return this.path.trace(channel - 1).load.acRms_V();
  }

  /** A load as it is now, at its own terminals. @throws LoadNotOnBench */
  loadState(channel: number, nominal_ohm: number): LoadState {
    const load = this.rack.load(channel, nominal_ohm);
    return {
      ohm: load.own_ohm,
      inductance_H: load.inductance_H,
      temperature_C: this.room_C + load.rise_K,
    };
  }

  /** Temperature of the warmest load that a channel has. */
  warmestLoad_C(channel: number): number {
    const loads = this.setup.channels[channel - 1]?.loads ?? [];
    const states = loads.map(({ nominal_ohm }) => this.loadState(channel, nominal_ohm));
    return Math.max(this.room_C, ...states.map(({ temperature_C }) => temperature_C));
  }

  /** Heats a load with a share of its continuous rating until it is as warm as that makes it. @throws LoadNotOnBench */
  settleLoad(channel: number, nominal_ohm: number, share: number): void {
    this.requireIdle();
    const warmed = this.rack.load(channel, nominal_ohm);
    const { rating_W, thermal_s } = this.setup.channels[channel - 1]!.loads.find(
      (load) => load.nominal_ohm === nominal_ohm,
    )!;
    const seconds = SETTLED_TIMES * thermal_s;
    warmed.warm(share * rating_W, seconds);
    this.rack.cool(seconds, [warmed]);
    this.clock_s += seconds;
  }

  /** What is true of a channel (from 1) where the bench file only believes. */
  trueChain(channel: number): TrueChain {
    return trueChain(this.setup, this.twin, channel);
  }

  async close(): Promise<void> {
    this.isOpen = false;
  }

  private requireIdle(): void {
    if (!this.isOpen) throw new BenchClosed();
    if (this.isPlaying) throw new BenchBusy();
  }

  private connect(load_ohm: number): void {
    this.path.connect(load_ohm, this.seed);
    this.load_ohm = load_ohm;
  }

  /** Fades what would have come next, then lets silence through; a source that fails is cut off. */
  private rampDown(source: SignalSource, from: number, lead: number): void {
    const frames = GROUP * Math.ceil((RAMP_DOWN_S * this.rate_Hz) / GROUP);
    const silence = (count: number) => this.setup.channels.map(() => new Float64Array(count));
    let played: readonly Float64Array[];
    try {
      played = renderFrom(source, from, frames, this.channels).map((samples) =>
        samples.map((sample, n) => sample * (0.5 + 0.5 * Math.cos((Math.PI * (n + 1)) / frames))),
      );
    } catch {
      played = silence(frames);
    }
    this.path.pass(played);
    this.path.pass(silence(frames + lead));
    this.path.hush();
    this.clock_s += (2 * frames + lead) / this.rate_Hz;
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
