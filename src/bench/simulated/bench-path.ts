import type { Wiring } from '../bench.js';
import type { BenchSetup } from '../bench-setup.js';
import { Amplifier } from './amplifier.js';
import { ChannelPath } from './channel-path.js';
import { type ChannelConverters, channelConverters, seedFor } from './converter.js';
import { type DummyLoad, LoadCurrent, type LoadRack } from './dummy-load.js';
import { type ChannelCables, cablesOf, type Miswiring } from './miswiring.js';
import { TerminalTrace } from './terminal-trace.js';
import { type TrueChain, trueChain } from './true-chain.js';
import { channelTwin, type Twin } from './twin.js';

/** Frames that the unit works on at once: few enough to stay in the cache at its higher rate. */
const STRETCH_FRAMES = 128;

/** What came in, one array a bench channel. */
export interface Captured {
  readonly channels: Float64Array[];
  readonly currents: (Float64Array | null)[];
}

/** All between the codes that are played and the codes that are captured, as it is wired now. */
export class BenchPath {
  private readonly setup: BenchSetup;
  private readonly twin: Twin;
  private readonly rack: LoadRack;
  private readonly amplifier: Amplifier;
  private readonly converters: readonly ChannelConverters[];
  private readonly truths: readonly TrueChain[];
  /** Volts of what is under way, by channel: at output terminals, at what is fed, at loads; and at one input. */
  private volts: readonly Float64Array[] = [];
  private fed: readonly Float64Array[] = [];
  private terminals: readonly Float64Array[] = [];
  private heard = new Float64Array(0);
  /** The same of what is fed and of the loads, by stretch and channel. */
  private stretches: readonly Stretch[] = [];
  private readonly silent: boolean[];
  private cables: readonly ChannelCables[];
  private loads: readonly DummyLoad[] = [];
  private loadCurrents: readonly LoadCurrent[] = [];
  private unitDelay = 0;
  private wiring: Wiring = 'unit';
  private traces: readonly Traces[] | null = null;

  constructor(setup: BenchSetup, twin: Twin, rack: LoadRack, seed: number) {
    const channels = setup.channels.length;
    this.setup = setup;
    this.twin = twin;
    this.rack = rack;
    this.amplifier = new Amplifier(twin, channels, setup.rate_Hz, STRETCH_FRAMES);
    this.converters = channelConverters(setup, twin, seed);
    this.truths = setup.channels.map((_, i) => trueChain(setup, twin, i + 1));
    this.silent = setup.channels.map(() => false);
    this.cables = cablesOf({}, channels);
  }

  /** Frames between a code that is played and the code that answers to it. */
  get delay(): number {
    return this.wiring === 'unit' ? this.unitDelay : 0;
  }

  get temperature_C(): number {
    return this.amplifier.temperature_C;
  }

  /** Puts a load on every channel of the unit. @throws LoadNotOnBench */
  connect(load_ohm: number, seed: number): void {
    const { rate_Hz, channels } = this.setup;
    const loads = channels.map(({ channel }) => this.rack.load(channel, load_ohm));
    const paths = loads.map((load, i) => {
      const twin = channelTwin(this.twin, i + 1);
      return new ChannelPath(twin, load, rate_Hz, STRETCH_FRAMES, seedFor(seed, i, 3));
    });
    this.release();
    this.loads = loads;
    this.loadCurrents = loads.map((load) => new LoadCurrent(load, rate_Hz));
    this.hang();
    this.amplifier.connect(paths.map((path, i) => ({ path, load: loads[i]! })));
    this.unitDelay = paths[0]?.delay ?? 0;
  }

  wire(wiring: Wiring): void {
    this.wiring = wiring;
  }

  /** @throws RangeError naming a channel that the bench does not have */
  miswire(miswiring: Miswiring): void {
    this.cables = cablesOf(miswiring, this.setup.channels.length);
    this.hang();
  }

  /** Lets time pass in silence. */
  rest(seconds: number): void {
    this.amplifier.rest(seconds);
    this.rack.cool(seconds, this.loads);
  }

  /** Begins to remember what the terminals carry. */
  watch(): void {
    this.traces ??= this.setup.channels.map(() => ({
      output: new TerminalTrace(this.setup.rate_Hz),
      load: new TerminalTrace(this.setup.rate_Hz),
    }));
  }

  /** What the terminals of channel `index` (from 0) have carried since `watch`. */
  trace(index: number): Traces {
    this.watch();
    return this.traces![index]!;
  }

  /** Says that all terminals have fallen silent. */
  hush(): void {
    this.traces?.forEach(({ output, load }) => {
      output.clear();
      load.clear();
    });
  }

  /** Plays what was rendered and gives back as many captured frames. */
  pass(played: readonly Float64Array[]): Captured {
    const frames = played[0]?.length ?? 0;
    const channels = played.map(() => new Float64Array(frames));
    const currents = this.converters.map(({ current }) => (current ? new Float64Array(frames) : null));
    if (frames === 0) return { channels, currents };
    this.makeRoom(frames);
    this.converters.forEach(({ output }, i) => {
      output.process(played[i]!, this.volts[i]!, frames);
      if (this.cables[i]!.dead) this.fed[i]!.fill(0);
      else this.fed[i]!.set(this.volts[i]!);
      this.traces?.[i]?.output.add(this.volts[i]!, frames);
    });
    if (this.wiring === 'unit') this.drive(played, frames);
    else {
      for (const volts of this.terminals) volts.fill(0);
      this.amplifier.rest(frames / this.setup.rate_Hz);
    }
    this.traces?.forEach(({ load }, i) => {
      load.add(this.terminals[i]!, frames);
    });
    this.hear(channels, currents, frames);
    this.rack.cool(frames / this.setup.rate_Hz, this.loads);
    return { channels, currents };
  }

  private makeRoom(frames: number): void {
    if (frames <= this.heard.length) return;
    const length = STRETCH_FRAMES * Math.ceil(frames / STRETCH_FRAMES);
    const buffers = () => this.converters.map(() => new Float64Array(length));
    this.volts = buffers();
    this.fed = buffers();
    this.terminals = buffers();
    this.heard = new Float64Array(length);
    const stretchOf = (volts: Float64Array, n: number) =>
      volts.subarray(n * STRETCH_FRAMES, (n + 1) * STRETCH_FRAMES);
    this.stretches = Array.from({ length: length / STRETCH_FRAMES }, (_, n) => ({
      fed: this.fed.map((volts) => stretchOf(volts, n)),
      terminals: this.terminals.map((volts) => stretchOf(volts, n)),
    }));
  }

  /** Puts what is fed through the unit, stretch by stretch. */
  private drive(played: readonly Float64Array[], frames: number): void {
    const { silent, cables } = this;
    for (let n = 0; n * STRETCH_FRAMES < frames; n += 1) {
      const at = n * STRETCH_FRAMES;
      const count = Math.min(STRETCH_FRAMES, frames - at);
      for (let i = 0; i < silent.length; i += 1)
        silent[i] = cables[i]!.dead || isSilent(played[i]!, at, count);
      const { fed, terminals } = this.stretches[n]!;
      this.amplifier.process(fed, terminals, count, silent);
    }
  }

  /** What the inputs make of it. */
  private hear(
    channels: readonly Float64Array[],
    currents: readonly (Float64Array | null)[],
    count: number,
  ): void {
    const { heard, converters, wiring } = this;
    converters.forEach(({ input, current }, i) => {
      const { tap, loops, sign } = this.cables[i]!;
      const { attenuator_ratio, shunt_ohm } = this.truths[i]!;
      const factor = sign / (wiring === 'loop' ? 1 : attenuator_ratio);
      if (wiring === 'unit') copyScaled(this.terminals[tap]!, heard, factor, count);
      else {
        heard.fill(0);
        if (wiring !== 'open') for (const j of loops) addScaled(this.fed[j]!, heard, factor, count);
      }
      input.process(heard, channels[i]!, count);
      if (!current) return;
      this.loadCurrents[i]!.process(this.terminals[i]!, heard, shunt_ohm!, count);
      current.process(heard, currents[i]!, count);
    });
  }

  /** Gives every channel the load that it should have, or what is said to hang there instead. */
  private hang(): void {
    this.loads.forEach((load, i) => {
      load.replace(this.cables[i]!.load);
    });
  }

  private release(): void {
    for (const load of this.loads) load.replace(null);
  }
}

interface Stretch {
  readonly fed: readonly Float64Array[];
  readonly terminals: readonly Float64Array[];
}

interface Traces {
  readonly output: TerminalTrace;
  readonly load: TerminalTrace;
}

function isSilent(codes: Float64Array, at: number, frames: number): boolean {
  for (let n = at; n < at + frames; n += 1) if (codes[n] !== 0) return false;
  return true;
}

function copyScaled(from: Float64Array, to: Float64Array, factor: number, frames: number): void {
  for (let n = 0; n < frames; n += 1) to[n] = factor * from[n]!;
}

function addScaled(from: Float64Array, to: Float64Array, factor: number, frames: number): void {
  for (let n = 0; n < frames; n += 1) to[n] = to[n]! + factor * from[n]!;
}
